package audit

import (
	"strings"
	"sync"

	"saltmark/internal/source"
	"saltmark/internal/terms"
	"saltmark/mapping/measure"
)

// codeIndex maps each LOINC and local code of the table to its row. LOINC codes
// and our own never look alike.
var codeIndex = sync.OnceValue(func() map[string]*measure.Measure {
	index := map[string]*measure.Measure{}
	add := func(code string, m *measure.Measure) {
		if code != "" && index[code] == nil {
			index[code] = m
		}
	}
	for i := range measure.All() {
		m := &measure.All()[i]
		add(m.LOINC, m)
		add(m.Used, m)
		for _, about := range m.About {
			for _, thing := range measure.ThingsOf(about) {
				add(m.LocalCode(about, thing), m)
			}
		}
		for _, w := range m.Codes {
			add(w.LOINC, m)
			add(w.Local, m)
		}
	}
	return index
})

// isCoding tells whether an object is a Coding, as the items of a list "coding".
func isCoding(name string, n *source.Node) bool {
	return (name == "coding" || name == "valueCoding") && n.Kind == source.Object
}

// loincCheckDigit: a LOINC code has the check digit that its number demands.
func loincCheckDigit(w *walk, name string, n *source.Node) {
	if !isCoding(name, n) || textAt(n, "system") != terms.SystemLOINC {
		return
	}
	code := textAt(n, "code")
	if !strings.HasPrefix(code, "LP") && !strings.HasPrefix(code, "LA") && terms.CheckDigit(code) != nil {
		w.below("loinc-check-digit", n, "code", "the LOINC code is {}", code, "its last digit must be the check digit of the number")
	}
}

// loincDisplay: the display of a LOINC code in use is LOINC's own name.
func loincDisplay(w *walk, name string, n *source.Node) {
	display := textAt(n, "display")
	if !isCoding(name, n) || display == "" || textAt(n, "system") != terms.SystemLOINC {
		return
	}
	e, known := terms.LOINC(textAt(n, "code"))
	if known && e.Display() != "" && e.Display() != display {
		w.below("loinc-display", n, "display", "the display of "+e.Code+" is {}", display, `LOINC's name is "`+e.Display()+`"`)
	}
}

// ourSystems are our code systems below any canonical base, with what they hold.
var ourSystems = sync.OnceValue(func() map[string]map[string]bool {
	labels, reasons, values, measures := map[string]bool{}, map[string]bool{}, map[string]bool{}, map[string]bool{}
	for _, c := range measure.LabelCodes() {
		labels[c.Code] = true
	}
	for _, r := range measure.Reasons() {
		reasons[r.Code] = true
	}
	for _, set := range measure.Sets() {
		for _, c := range measure.Set(set) {
			values[c.Code] = true
		}
	}
	for _, c := range measure.LocalCodes() {
		measures[c.Code] = true
	}
	return map[string]map[string]bool{measure.LabelCodesAt: labels, measure.ReasonCodes: reasons, measure.ValueCodes: values, measure.MeasureCodes: measures}
})

// codeNotOurs: a code of one of our systems is one that the tables have.
func codeNotOurs(w *walk, name string, n *source.Node) {
	if !isCoding(name, n) {
		return
	}
	system := textAt(n, "system")
	at := strings.Index(system, "/CodeSystem/")
	if at < 0 {
		return
	}
	codes := ourSystems()[system[at:]]
	if codes == nil || !w.ours || !strings.HasPrefix(system, w.base()) {
		return
	}
	if code := textAt(n, "code"); !codes[code] {
		w.below("code-not-ours", n, "code", "the code is {}", code, "the code system has no such code")
	}
}
