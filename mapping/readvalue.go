package mapping

import (
	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/source"
	"saltmark/internal/ucum"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// memberOf is the element in which a kind of value stands.
var memberOf = map[measure.Kind]string{
	measure.Quantity: "valueQuantity",
	measure.Code:     "valueCodeableConcept",
	measure.Text:     "valueString",
	measure.Time:     "valueDateTime",
	measure.Date:     "valueDateTime",
	measure.Curve:    "valueSampledData",
}

// value reads value[x] of an Observation or a component, or why there is none.
func (r *reader) value(n *source.Node, pointer string, m *measure.Measure) record.Value {
	var v record.Value
	name, node := "", (*source.Node)(nil)
	count := 0
	for choice, value := range r4.Choices(n, "value") {
		if count++; count == 1 {
			name, node = choice, value
		}
	}
	reason := n.Get("dataAbsentReason")
	switch wanted := memberOf[m.Kind]; {
	case count > 1 || count == 1 && reason != nil:
		r.report("value-several", n, pointer, finding.Say("{1} has two values, or a value and a reason for having none", finding.Data(m.Key)), "", "one of them")
	case reason != nil && m.Kind != measure.Group:
		v.Absent = r.absence(reason, pointer+"/dataAbsentReason", m)
	case count == 0 && reason == nil && m.Kind == measure.Group:
	case name != wanted || node == nil || m.Kind == measure.Group:
		found := finding.Say("{1} has {}", finding.Data(m.Key))
		if name == "" {
			found = finding.Say("{1} has no value", finding.Data(m.Key))
		}
		allowed := finding.Say("{1} is wanted", finding.Data(wanted))
		if wanted == "" {
			allowed = "no value is wanted"
		}
		r.report("value-form", n, pointer, found, name, allowed)
	default:
		v = r.valueOf(node, pointer+"/"+name, m)
	}
	return v
}

func (r *reader) valueOf(n *source.Node, pointer string, m *measure.Measure) record.Value {
	switch m.Kind {
	case measure.Quantity:
		return record.Value{Quantity: r.quantity(n, pointer, m)}
	case measure.Code:
		c := r4.Code(n, r.base+measure.ValueCodes)
		if !measure.InSet(m.Values, c) {
			r.report("value-unreadable", n, pointer, finding.Say("{1} has the coded value {}", finding.Data(m.Key)), c, finding.Say("a code of the set {1}", finding.Data(m.Values)))
		}
		return record.Value{Code: c}
	case measure.Text:
		return record.Value{Text: n.Text}
	case measure.Curve:
		return record.Value{Curve: r.curve(n, pointer, m)}
	}
	return record.Value{Time: r.time(n, pointer)}
}

// quantity reads a number with its UCUM unit, with the digits as written.
func (r *reader) quantity(n *source.Node, pointer string, m *measure.Measure) record.Quantity {
	q := record.Quantity{Unit: r4.Text(n, "code")}
	if value := n.Get("value"); value != nil && value.Kind == source.Number && ucum.CheckNumber(value.Text) == nil {
		q.Number = value.Text
	} else {
		r.report("value-unreadable", n, pointer, finding.Say("{1} has no number that can be read", finding.Data(m.Key)), "", "a plain decimal")
	}
	if n.Get("comparator") != nil {
		r.report("value-unreadable", n, pointer, finding.Say("{1} has a comparator", finding.Data(m.Key)), "", "a charted number is the number; what is out of range is absent with its bound")
	}
	wrong := r4.Text(n, "system") != r4.UCUM || q.Unit == ""
	if !wrong && q.Unit != m.Unit && m.Kind != measure.Curve {
		if m.AnyDimension {
			_, err := ucum.Parse(q.Unit)
			wrong = err != nil
		} else {
			wrong = !ucum.Commensurable(q.Unit, m.Unit)
		}
	}
	if wrong {
		r.report("value-unit", n, pointer, finding.Say("{1} has the unit {}", finding.Data(m.Key)), q.Unit, finding.Say("a UCUM code such as {1}", finding.Data(m.Unit)))
	}
	return q
}

func (r *reader) absence(n *source.Node, pointer string, m *measure.Measure) record.Absence {
	a := record.Absence{Reason: r4.Code(n, r.base+measure.ReasonCodes)}
	if _, ok := measure.ReasonOf(a.Reason); !ok {
		r.report("reason-unknown", n, pointer, finding.Say("{1} is absent for the reason {}", finding.Data(m.Key)), a.Reason, "a reason of our own code system")
	}
	if bound := r.extension(n, boundExtension); bound != nil {
		a.Bound = r.quantity(bound.Get("valueQuantity"), pointer+"/extension", m)
	}
	return a
}

func (r *reader) curve(n *source.Node, pointer string, m *measure.Measure) *record.Curve {
	number := func(name string) string {
		if v := n.Get(name); v != nil && v.Kind == source.Number {
			return v.Text
		}
		return ""
	}
	return &record.Curve{
		Origin: r.quantity(n.Get("origin"), pointer+"/origin", m),
		Period: number("period"), Factor: number("factor"),
		LowerLimit: number("lowerLimit"), UpperLimit: number("upperLimit"),
		Data: r4.Text(n, "data"),
	}
}

// time reads a dateTime; "" where it has no form that is read.
func (r *reader) time(n *source.Node, pointer string) record.Time {
	if n == nil {
		return ""
	}
	t, err := record.ParseTime(n.Text)
	if err != nil || n.Kind != source.String {
		r.report("value-unreadable", n, pointer, "a time cannot be read", "", "a date, or a date and a time with seconds and offset")
		return ""
	}
	return t
}

// extension gives an extension of ours, nil where there is none.
func (r *reader) extension(n *source.Node, url string) *source.Node {
	for _, e := range r4.Items(n, "extension") {
		address := r4.Text(e, "url")
		if len(address) == len(r.base)+len(url) && address[:len(r.base)] == r.base && address[len(r.base):] == url {
			return e
		}
	}
	return nil
}

// label reads a flow label.
func (r *reader) label(concept *source.Node, pointer string) measure.Label {
	code := r4.Code(concept, r.base+measure.LabelCodesAt)
	l, ok := measure.LabelOf(code, r4.Code(concept, r.base+measure.ReasonCodes))
	if !ok {
		r.report("label-unknown", concept, pointer, "a flow label is {}", code, "a code of our flow labels, with one reason where it names no flow")
		return measure.Label{}
	}
	return l
}
