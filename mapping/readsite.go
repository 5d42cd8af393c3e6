package mapping

import (
	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/terms"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// siteCoding is a coding that stands beside ours on a fact.
type siteCoding struct {
	ref record.Ref
	at  located // the code of the fact
	Coding
}

// isOurs tells whether a code is one that we write on a measure; others are of the
// site.
func (r *reader) isOurs(c code) bool {
	switch c.system {
	case r.coder.localSystem:
		return true
	case terms.SystemLOINC, terms.SystemDICOM:
		return ownerOf(c) != ""
	}
	return false
}

// besideOurs keeps the site's codings of a fact, and reports one that names a flow which
// the fact is not known to be.
func (r *reader) besideOurs(f *record.Fact, m *measure.Measure, at located) {
	for _, coding := range r4.Items(at.node, "coding") {
		c := code{r4.Text(coding, "system"), r4.Text(coding, "code"), r4.Text(coding, "display")}
		if r.isOurs(c) {
			continue
		}
		if flow, named := terms.NamedFlow(c.system, c.code); named && !(m.Labelled && r.coder.mayAdd(f, m) && r.coder.holds(flow, f, m)) {
			r.report("code-identity", coding, at.pointer, finding.Say("{1} has the code {}", finding.Data(f.Measure)), c.code, finding.Say("it names a flow ({1}) that this value is not known to be", finding.Data(flow)))
		}
		r.beyond = append(r.beyond, siteCoding{f.Ref, at, Coding{System: c.system, Code: c.code, Display: c.display}})
	}
}

// siteCodings gives the codings of a site that explain what stands beside ours: each
// with the first condition under which it stands on exactly the facts that have it. One
// that no condition explains has the widest.
func (r *reader) siteCodings() map[string][]Coding {
	if len(r.beyond) == 0 {
		return nil
	}
	type where struct{ measure, system, code string }
	on := map[where]map[record.Ref]bool{}
	codings := map[string][]Coding{}
	for _, s := range r.beyond {
		w := where{s.ref.Measure, s.System, s.Code}
		if on[w] == nil {
			on[w] = map[record.Ref]bool{}
			codings[w.measure] = append(codings[w.measure], s.Coding)
		}
		on[w][s.ref] = true
	}
	r.oneMeasureEach()
	for key, list := range codings {
		m := measure.Get(key)
		for i := range list {
			list[i].When = r.conditionOf(m, on[where{key, list[i].System, list[i].Code}])
		}
	}
	return codings
}

// oneMeasureEach reports a coding that stands on two measures: a site has one place for
// each.
func (r *reader) oneMeasureEach() {
	on := map[code]string{}
	for _, s := range r.beyond {
		c := code{system: s.System, code: s.Code}
		if first, seen := on[c]; seen && first != s.ref.Measure {
			r.report("code-identity", s.at.node, s.at.pointer, finding.Say("{1} has the code {}", finding.Data(s.ref.Measure)), s.Code, finding.Say("it stands on {1} too; one code for one measure", finding.Data(first)))
		} else {
			on[c] = s.ref.Measure
		}
	}
}

// conditionOf gives the first condition that holds for exactly these facts of a
// measure.
func (r *reader) conditionOf(m *measure.Measure, on map[record.Ref]bool) string {
	conditions := append(Conditions(m), Always)
	for _, when := range conditions {
		explains := true
		for i := range r.session.Facts {
			f := &r.session.Facts[i]
			if f.Measure == m.Key && on[f.Ref] != (r.coder.mayAdd(f, m) && r.coder.adds(when, f, m)) {
				explains = false
				break
			}
		}
		if explains {
			return when
		}
	}
	return conditions[0]
}
