package guide

import (
	_ "embed"
	"path"
	"slices"
	"strings"

	"saltmark/internal/profile"
	"saltmark/internal/terms"
	"saltmark/mapping"
	"saltmark/mapping/measure"
)

// Maps from our codes to those that others have published.

//go:embed devicecodes.tsv
var deviceCodes string

// target is a published code for one of ours. A flow under a published code that names the
// left ventricle is that only where its label says so: when is that condition.
type target struct {
	from                       string // our code
	system, code, display      string
	equivalence, comment, when string
}

// conceptMaps gives a map for the codes of measures and one for coded values.
func (m *maker) conceptMaps() []object {
	return []object{
		m.conceptMap("measures-to-published", measure.MeasureCodes, "Measures to published codes",
			"Published codes for our codes of measures. A published code of the left ventricle holds only where the flow label contains LVO.", m.measureTargets()),
		m.conceptMap("values-to-published", measure.ValueCodes, "Coded values to published codes",
			"Published codes for our coded values: lesions, directions, vessels, methods.", valueTargets()),
	}
}

func (m *maker) conceptMap(id, source, title, description string, targets []target) object {
	var groups, notices = []object{}, []string{}
	for _, published := range Published {
		var elements []object
		for _, own := range codesIn(targets, published.URL) {
			var list []object
			for _, t := range targets {
				if t.from == own && t.system == published.URL {
					list = append(list, m.target(t))
				}
			}
			elements = append(elements, obj("code", own, "target", list))
		}
		if elements != nil {
			groups = append(groups, obj("source", m.base+source, "target", published.URL, "element", elements))
			notices = append(notices, published.Notice)
		}
	}
	return append(m.head("ConceptMap", id, title, description), obj("copyright", strings.Join(notices, " "), "group", groups)...)
}

// codesIn gives our codes that have a target in a system, each once and in order.
func codesIn(targets []target, system string) []string {
	var codes []string
	for _, t := range targets {
		if t.system == system && !slices.Contains(codes, t.from) {
			codes = append(codes, t.from)
		}
	}
	return codes
}

func (m *maker) target(t target) object {
	o := obj("code", t.code, "display", t.display, "equivalence", t.equivalence, "comment", t.comment)
	if t.when != "" {
		o = o.with("dependsOn", []object{obj("property", m.profileAddress("flow-label"), "system", m.base+measure.LabelCodesAt, "value", t.when)})
	}
	return o
}

// measureTargets follow the table of measures, under every code of ours that a value of
// the session may have.
func (m *maker) measureTargets() []target {
	var targets []target
	for i := range measure.All() {
		row := &measure.All()[i]
		if !row.Has(measure.Session) && row.LOINC == "" && row.DICOM == "" {
			continue
		}
		for _, c := range mapping.CodingsOf(row, mapping.Options{Base: m.base}) {
			if c.System == m.base+measure.MeasureCodes {
				continue
			}
			for _, own := range sessionCodes(row) {
				t := target{from: own, system: c.System, code: c.Code, display: c.Display, equivalence: "equivalent", when: c.When}
				if c.When != mapping.Always {
					t.equivalence, t.comment = "narrower", "only where the flow label contains "+c.When
				}
				targets = append(targets, t)
			}
		}
	}
	return append(targets, deviceTargets()...)
}

// sessionCodes gives the codes of ours under which a value may also carry published ones.
func sessionCodes(row *measure.Measure) []string {
	codes := []string{row.LocalCode(row.About[len(row.About)-1], "")}
	for _, w := range row.Codes {
		if w.Local != "" && w.When != measure.NotDetermined {
			codes = append(codes, w.Local)
		}
	}
	return codes
}

// deviceTargets are those of ISO/IEEE 11073. The table is shown to be whole by a test.
func deviceTargets() []target {
	var targets []target
	for line := range strings.Lines(deviceCodes) {
		cells := strings.Split(strings.TrimSuffix(line, "\n"), "\t")
		if len(cells) != 4 || cells[0] == "measure" || strings.HasPrefix(line, "#") {
			continue
		}
		e, _ := terms.Lookup(terms.SystemMDC, cells[1])
		targets = append(targets, target{from: cells[0], system: terms.SystemMDC, code: cells[1], display: e.Display(), equivalence: cells[2], comment: cells[3]})
	}
	return targets
}

// valueTargets are those of coded values, SNOMED CT among them.
func valueTargets() []target {
	var targets []target
	seen := map[target]bool{}
	for _, set := range measure.Sets() {
		for _, value := range measure.SetNames(set) {
			for _, c := range mapping.ValueCodings(set, value, mapping.Options{SNOMED: true}) {
				t := target{from: value, system: c.System, code: c.Code, display: c.Display, equivalence: "equivalent"}
				if path.Base(c.System) != path.Base(measure.ValueCodes) && !seen[t] {
					seen[t] = true
					targets = append(targets, t)
				}
			}
		}
	}
	return targets
}

// conditionWords says under which label a published code holds.
func conditionWords(c mapping.Coding, l measure.Language) string {
	if c.When == mapping.Always {
		return ""
	}
	return profile.Words("only where the label contains {}", "nur, wo die Angabe {} enthält", c.When).In(l)
}
