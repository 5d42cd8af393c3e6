package mapping

import (
	"cmp"
	"maps"
	"slices"

	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// Coding is a code under which a measure, or a coded value, is written.
type Coding struct {
	System, Code string
	Display      string // as its system has it; "" is not sent
	// When is the condition; Always is none. A flow ("LVO") stands for a label that
	// contains it, measure.NotDetermined for one that names none.
	When string
}

// Conditions of codings that are no flow label.
const (
	Always       = ""
	OneInjection = "one-injection"     // about a single injection
	UsedOnly     = "not-measured-here" // taken from elsewhere for the calculation
	Otherwise    = "otherwise"         // where no other code of ours holds
	// AnyLabel is of a site's coding on what carries a flow label: it says nothing of
	// which flow it is.
	AnyLabel = "any"
)

// ofSite adds the site's codings of a fact. They follow the published codes: a search
// by one finds the value of the session, never one injection, what comes from a curve
// beside a reported value, or what was not measured here.
func (c coder) ofSite(codes []code, f *record.Fact, m *measure.Measure) []code {
	list := c.site[m.Key]
	if len(list) == 0 || !c.mayAdd(f, m) {
		return codes
	}
	for _, s := range list {
		if c.adds(s.When, f, m) {
			codes = append(codes, code{s.System, s.Code, s.Display})
		}
	}
	return codes
}

// with gives a coder that adds codings of a site.
func (c coder) with(site map[string][]Coding) coder {
	c.site = site
	return c
}

// mayAdd tells whether a fact is one that a site's codings are for.
func (c coder) mayAdd(f *record.Fact, m *measure.Measure) bool {
	return !usedOnly(f, m) && !(f.About.Kind == measure.Injection && m.Has(measure.Session)) && !c.fromCurve(f)
}

// adds tells whether the condition of a site's coding holds.
func (c coder) adds(when string, f *record.Fact, m *measure.Measure) bool {
	switch {
	case !m.Labelled:
		return when == Always
	case when == AnyLabel:
		return !f.Label.IsZero() && (!f.Value.IsAbsent() || m.KeepsCodeWhenAbsent)
	}
	return c.holds(when, f, m)
}

// siteConditions are those that a site's coding may have on what carries a flow label,
// from the widest.
var siteConditions = []string{AnyLabel, "Qs", "LVO", "RVO", "Qp", measure.NotDetermined}

// Conditions gives the conditions that a site's coding of a measure may have; none is
// Always.
func Conditions(m *measure.Measure) []string {
	if m.Labelled {
		return slices.Clone(siteConditions)
	}
	return nil
}

// inOrderOfCodes gives the codings of each measure in the order of system and code, so
// that a bundle tells of them all that there is to tell.
func inOrderOfCodes(codings map[string][]Coding) map[string][]Coding {
	less := func(a, b Coding) int { return cmp.Or(cmp.Compare(a.System, b.System), cmp.Compare(a.Code, b.Code)) }
	for _, list := range codings {
		if !slices.IsSortedFunc(list, less) {
			ordered := maps.Clone(codings)
			for key, list := range ordered {
				ordered[key] = slices.SortedStableFunc(slices.Values(list), less)
			}
			return ordered
		}
	}
	return codings
}

// CodingsOf gives every coding that a measure can be written under: the published
// ones, our own, then those of the site. "{}" in a code of ours stands for the key of the thing.
func CodingsOf(m *measure.Measure, o Options) []Coding {
	o = o.complete()
	ours := o.Base + measure.MeasureCodes
	var list, own []Coding
	row := &codesOfRows()[m.Row]
	for _, c := range row.published {
		list = append(list, Coding{c.system, c.code, c.display, Always})
	}
	for _, w := range row.conditional {
		for _, c := range w.published {
			list = append(list, Coding{c.system, c.code, c.display, w.when})
		}
		if w.local != "" {
			own = append(own, Coding{System: ours, Code: w.local, When: w.when})
		}
	}
	if m.InjectionCode != "" {
		own = append(own, Coding{System: ours, Code: m.InjectionCode, When: OneInjection})
	}
	if m.Used != "" {
		own = append(own, Coding{System: ours, Code: m.Used, When: UsedOnly})
	}
	usual := Coding{System: ours, Code: m.LocalCode(m.About[len(m.About)-1], "{}")}
	if len(own) > 0 {
		usual.When = Otherwise
	}
	return append(append(append(list, own...), usual), o.Codings[m.Key]...)
}

// ValueCodings gives the codings of a coded value of a set: the published ones, then
// our own.
func ValueCodings(set, value string, o Options) []Coding {
	o = o.complete()
	var list []Coding
	for _, c := range o.publishedFor(set, value) {
		list = append(list, Coding{System: c.system, Code: c.code, Display: c.display})
	}
	return append(list, Coding{System: o.Base + measure.ValueCodes, Code: value})
}
