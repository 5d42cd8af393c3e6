package mapping

import (
	"strconv"
	"strings"
	"sync"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/source"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// facts reads the Observations of the session.
func (r *reader) facts() []record.Fact {
	r.coder.localSystem = r.base + measure.MeasureCodes
	most := 0 // how many facts there are at the most
	for _, res := range r.resources {
		if res.kind != "Observation" || res.own == "" {
			continue
		}
		_, ref, ok := ParseIdentity(r.session.ID + "/" + res.own)
		m := measure.Get(ref.Measure)
		if !ok || m.In != "" {
			r.report("identity-unknown", res.node, res.pointer+"/identifier", "{} names no measure of the table with an Observation of its own", res.own, "")
			continue
		}
		res.ref, res.fact = ref, true
		most += 1 + len(r4.Items(res.node, "component"))
	}
	r.coded = make([]coded, 0, most)
	r.session.Places.Facts = make(map[record.Ref]record.Place, most)
	facts := make([]record.Fact, 0, most)
	for _, res := range r.resources {
		if res.fact {
			facts = r.observation(facts, res)
		}
	}
	return facts
}

// observation reads one Observation: its fact, and its components.
func (r *reader) observation(facts []record.Fact, res *resource) []record.Fact {
	m := measure.Get(res.ref.Measure)
	at := len(facts)
	facts = append(facts, record.Fact{Ref: res.ref, Value: r.value(res.node, res.pointer, m), Status: r.status(res)})
	f := &facts[at]
	r.coded = append(r.coded, coded{located{res.node.Get("code"), res.pointer + "/code"}, r4.Code(res.node.Get("method"), r.base+measure.ValueCodes)})
	r.session.Places.Facts[f.Ref] = r.docs.Place(nil, res.pointer)
	r.readTime(f, res)
	components := r4.Items(res.node, "component")
	r.locals = r.locals[:0]
	for _, c := range components {
		r.locals = append(r.locals, r4.Code(c.Get("code"), r.coder.localSystem))
	}
	said := r.beside(f, res, components)
	r.readOrigin(f, res, said)
	r.readLabel(f, res, said)
	r.readFrom(f, res)
	f.Obtained = said.obtained
	status := f.Status
	parts := partsOf(m.Key, res.ref.About.Kind)
	for i, c := range components {
		local := r.locals[i]
		if local == "" || besideCodes[local] {
			continue
		}
		pointer := res.pointer + "/component/" + strconv.Itoa(i)
		p, ok := parts[local]
		if !ok {
			r.report("component-unknown", c, pointer, finding.Say("{} is no part of {1}", finding.Data(m.Key)), local, "")
			continue
		}
		facts = append(facts, r.component(c, pointer, p, res.ref.About, status))
	}
	return r.partsAside(facts, res, parts, status)
}

// partsAside reads the coded parts that stand as extensions, where a profile leaves
// components to quantities. Their address is their code.
func (r *reader) partsAside(facts []record.Fact, res *resource, parts map[string]partRow, status record.Status) []record.Fact {
	for i, e := range r4.Items(res.node, "extension") {
		local, ours := strings.CutPrefix(r4.Text(e, "url"), r.base+partExtension(""))
		if p, known := parts[local]; ours && known && p.row.Kind == measure.Code {
			f := r.component(e, res.pointer+"/extension/"+strconv.Itoa(i), p, res.ref.About, status)
			r.coded[len(r.coded)-1] = coded{}
			facts = append(facts, f)
		}
	}
	return facts
}

// besideCodes are local codes of components that are no facts.
var besideCodes = map[string]bool{
	labelKey: true, originCode: true, obtainedCode: true, curveFileCode: true, curveResampledCode: true,
	revisionCode: true, verifiedRevisionCode: true, verifiedAtCode: true, changedInCode: true, flowBeforeCode: true,
	programCode: true, tableHashCode: true, settingsHashCode: true,
}

// component reads a fact that shares its Observation with another.
func (r *reader) component(n *source.Node, pointer string, p partRow, about record.Thing, status record.Status) record.Fact {
	if p.fixed {
		about = record.Thing{Kind: p.about, Key: p.key}
	}
	origin := record.Origin(p.row.DefaultOrigin())
	if e := r.extension(n, originExtension); e != nil {
		origin = record.Origin(r4.Text(e, "valueCode"))
		if !measure.InSet("origin", string(origin)) {
			r.report("origin-disagrees", e, pointer+"/extension", finding.Say("the origin of {1} is {}", finding.Data(p.row.Key)), string(origin), "stated, reported, recomputed, derived or setting")
		}
	}
	f := record.Fact{Ref: record.Ref{About: about, Measure: p.row.Key, Origin: origin}, Value: r.value(n, pointer, p.row), Status: status}
	if _, twice := r.session.Places.Facts[f.Ref]; twice {
		r.report("component-twice", n, pointer, finding.Say("{1} is there twice", finding.Data(p.row.Key)), "", "one value of one origin")
	}
	r.coded = append(r.coded, coded{located: located{n.Get("code"), pointer + "/code"}})
	r.session.Places.Facts[f.Ref] = r.docs.Place(nil, pointer)
	return f
}

// partRow is what a local code means as a component of one kind of Observation.
type partRow struct {
	row *measure.Measure
	// fixed: the code itself says which thing it is about.
	fixed bool
	about measure.About
	key   string
}

type partsKey struct {
	row   string
	about measure.About
}

// allParts are the components that the table of measures knows, by the row and the
// kind of thing of their Observation, and by their local code.
var allParts = sync.OnceValue(func() map[partsKey]map[string]partRow {
	all := map[partsKey]map[string]partRow{}
	add := func(in string, about measure.About, code string, p partRow) {
		key := partsKey{in, about}
		if all[key] == nil {
			all[key] = map[string]partRow{}
		}
		all[key][code] = p
	}
	for i := range measure.All() {
		m := &measure.All()[i]
		in := measure.Get(m.In)
		if in == nil || m.Key == labelKey {
			continue
		}
		for _, about := range m.About {
			if in.Has(about) {
				add(m.In, about, m.LocalCode(about, ""), partRow{row: m})
				continue
			}
			for _, key := range measure.ThingsOf(about) {
				add(m.In, measure.Session, m.LocalCode(about, key), partRow{row: m, fixed: true, about: about, key: key})
			}
		}
	}
	return all
})

func partsOf(row string, about measure.About) map[string]partRow {
	return allParts()[partsKey{row, about}]
}

// readTime reads when the value held; of what carries a period, its start.
func (r *reader) readTime(f *record.Fact, res *resource) {
	period, pointer := res.node.Get("effectivePeriod"), res.pointer+"/effectivePeriod"
	switch curve := f.Value.Curve; {
	case f.Ref == panelRef:
		f.At = r.time(period.Get("start"), pointer+"/start")
	case curve != nil:
		curve.Start, curve.End = r.time(period.Get("start"), pointer+"/start"), r.time(period.Get("end"), pointer+"/end")
		f.At = curve.Start
	default:
		f.At = r.time(res.node.Get("effectiveDateTime"), res.pointer+"/effectiveDateTime")
	}
}

// said is what components and extensions say beside a value.
type said struct {
	labelled []located // the label as component
	origin   string
	obtained string
}

func (r *reader) beside(f *record.Fact, res *resource, components []*source.Node) said {
	var all said
	for i, c := range components {
		switch r.locals[i] {
		case labelKey:
			all.labelled = append(all.labelled, located{c.Get("valueCodeableConcept"), res.pointer + "/component/" + strconv.Itoa(i)})
		case originCode:
			all.origin = r4.Code(c.Get("valueCodeableConcept"), r.base+measure.ValueCodes)
		case obtainedCode:
			all.obtained = r4.Code(c.Get("valueCodeableConcept"), r.base+measure.ValueCodes)
		case curveFileCode:
			if f.Value.Curve != nil {
				f.Value.Curve.FileHash = r4.Text(c, "valueString")
			}
		case curveResampledCode:
			if b := c.Get("valueBoolean"); f.Value.Curve != nil && b != nil {
				f.Value.Curve.ResampledFromUnequal = b.Text == "true"
			}
		}
	}
	if e := r.extension(res.node, obtainedExtension); e != nil {
		all.obtained = r4.Text(e, "valueCode")
	}
	if all.obtained != "" && !measure.InSet("obtained", all.obtained) {
		r.report("value-unreadable", res.node, res.pointer, "how the value was obtained is {}", all.obtained, "a code of the set obtained")
	}
	return all
}

// readOrigin compares the origin in the identity with what is said of it.
func (r *reader) readOrigin(f *record.Fact, res *resource, all said) {
	for _, stated := range []string{r4.Text(r.extension(res.node, originExtension), "valueCode"), all.origin} {
		if stated != "" && stated != string(f.Origin) {
			r.report("origin-disagrees", res.node, res.pointer, finding.Say("the origin of {1} is {}", finding.Data(f.Measure)), stated, finding.Say("its identity says {1}", finding.Data(string(f.Origin))))
		}
	}
}

// readLabel reads the flow label from extension or component, which must agree.
func (r *reader) readLabel(f *record.Fact, res *resource, all said) {
	labels := all.labelled
	if e := r.extension(res.node, labelExtension); e != nil {
		labels = append([]located{{e.Get("valueCodeableConcept"), res.pointer + "/extension"}}, labels...)
	}
	for i, at := range labels {
		l := r.label(at.node, at.pointer)
		if i == 0 {
			f.Label = l
		} else if l != f.Label {
			r.report("label-disagrees", at.node, at.pointer, finding.Say("{1} is labelled {}", finding.Data(f.Measure)), l.Code(), finding.Say("another of its labels is {1}", finding.Data(f.Label.Code())))
		}
	}
}

// readFrom reads what a value was made from. The shunt context that a label rests
// on comes last and is not named in the record.
func (r *reader) readFrom(f *record.Fact, res *resource) {
	references := r4.Items(res.node, "derivedFrom")
	for i, n := range references {
		pointer := res.pointer + "/derivedFrom/" + strconv.Itoa(i)
		from := r.byURL[r4.ReferenceText(n)]
		if from == nil || !from.fact {
			r.report("reference-unknown", n, pointer, finding.Say("{1} is derived from something that is not in the bundle", finding.Data(f.Measure)), "", "an Observation of the same session")
			continue
		}
		if from.ref == contextRef && i == len(references)-1 && !f.Label.IsZero() {
			return
		}
		f.From = append(f.From, from.ref)
	}
	if !f.Label.IsZero() && r.byOwn[contextSuffix] != nil {
		r.report("label-context", res.node, res.pointer+"/derivedFrom", finding.Say("{1} carries a flow label and does not name the shunt context", finding.Data(f.Measure)), "", "the context stands last in derivedFrom")
	}
}

// statuses that a fact may have.
var factStatuses = map[string]bool{
	string(record.Preliminary): true, string(record.Final): true, string(record.Amended): true,
	string(record.Corrected): true, string(record.Cancelled): true, string(record.EnteredInError): true,
}

func (r *reader) status(res *resource) record.Status {
	status := res.text("status")
	if !factStatuses[status] {
		r.report("status-unknown", res.node.Get("status"), res.pointer+"/status", "the status is {}", status, "preliminary, final, amended, corrected, cancelled or entered-in-error")
	}
	return record.Status(status)
}
