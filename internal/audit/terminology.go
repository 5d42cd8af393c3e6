package audit

import (
	"strconv"
	"strings"
	"sync"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/shape"
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

// measureOf gives the row of a published or local code, nil where none has it.
func measureOf(c coding) *measure.Measure {
	if c.system != terms.SystemLOINC && !strings.HasSuffix(c.system, measure.MeasureCodes) {
		return nil
	}
	return codeIndex()[c.code]
}

// isLOINC tells whether an object is a Coding of LOINC.
func isLOINC(n *source.Node) bool { return r4.Text(n, "system") == terms.SystemLOINC }

// loincCheckDigit: a LOINC code has the check digit that its number demands. Codes
// that begin with letters are of parts, answers and groups.
func loincCheckDigit(w *walk, _ string, n *source.Node) {
	code := r4.Text(n, "code")
	if code == "" || !isLOINC(n) || strings.HasPrefix(code, "L") || terms.CheckDigit(code) == nil {
		return
	}
	w.below("loinc-check-digit", n, "code", "the LOINC code is {}", code, "its last digit must be the check digit of the number")
}

// loincDisplay: the display of a LOINC code in our resources is LOINC's own name.
func loincDisplay(w *walk, _ string, n *source.Node) {
	if w.ours {
		displayOf(w, "loinc-display", n)
	}
}

// loincDisplayElsewhere: others may send another of LOINC's names, or one in
// another language, that this program does not know.
func loincDisplayElsewhere(w *walk, _ string, n *source.Node) {
	if !w.ours {
		displayOf(w, "loinc-display-elsewhere", n)
	}
}

func displayOf(w *walk, rule string, n *source.Node) {
	display := r4.Text(n, "display")
	if display == "" || !isLOINC(n) {
		return
	}
	e, known := terms.LOINC(r4.Text(n, "code"))
	if known && e.Display() != "" && e.Display() != display {
		w.below(rule, n, "display", finding.Say("the display of {1} is {}", finding.Data(e.Code)), display, finding.Say(`LOINC's name is "{1}"`, finding.Data(e.Display())))
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
func codeNotOurs(w *walk, _ string, n *source.Node) {
	if w.base == "" {
		return
	}
	below, ours := strings.CutPrefix(r4.Text(n, "system"), w.base)
	if !ours {
		return
	}
	codes := ourSystems()[below]
	if code := r4.Text(n, "code"); codes != nil && !codes[code] {
		w.below("code-not-ours", n, "code", "the code is {}", code, "the code system has no such code")
	}
}

// mdcCode: a code of ISO/IEEE 11073-10101 is the number of its term, partition times 65536
// plus term. The names that begin with MDC_ are reference identifiers, which readers do not
// look for. Source: FHIR R4 4.0.1, using 11073 codes.
func mdcCode(w *walk, _ string, n *source.Node) {
	code := r4.Text(n, "code")
	if r4.Text(n, "system") != terms.SystemMDC || code == "" {
		return
	}
	if number, err := strconv.ParseUint(code, 10, 32); err != nil || strconv.FormatUint(number, 10) != code {
		w.below("mdc-code", n, "code", "the code of ISO/IEEE 11073 is {}", code, "the number of the term in digits")
	}
}

// codeNotInSystem: a code of one of FHIR's own code systems is one that R4 has. Their later
// editions have more.
func codeNotInSystem(w *walk, _ string, n *source.Node) {
	system, code := r4.Text(n, "system"), r4.Text(n, "code")
	if code == "" {
		return
	}
	if has, known := shape.SystemHas(system, code); known && !has {
		w.below("code-not-in-system", n, "code", finding.Say("the code is {}, of the system {1}", finding.Data(system[strings.LastIndexByte(system, '/')+1:])), code, "a code that the code system has in FHIR R4")
	}
}
