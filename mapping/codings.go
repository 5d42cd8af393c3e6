package mapping

import "saltmark/mapping/measure"

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
)

// CodingsOf gives every coding that a measure can be written under: the published
// ones, then our own. "{}" in a code of ours stands for the key of the thing.
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
	return append(append(list, own...), usual)
}

// ValueCodings gives the codings of a coded value of a set: the published ones, then
// our own.
func ValueCodings(set, value string, o Options) []Coding {
	o = o.complete()
	var list []Coding
	for _, c := range publishedValue(value) {
		list = append(list, Coding{System: c.system, Code: c.code, Display: c.display})
	}
	return append(list, Coding{System: o.Base + measure.ValueCodes, Code: value})
}
