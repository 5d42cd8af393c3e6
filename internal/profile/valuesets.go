package profile

import (
	"sync"

	"saltmark/mapping"
	"saltmark/mapping/measure"
)

// ValueSet is a value set of ours: codes of one of our code systems.
type ValueSet struct {
	ID     string
	Title  measure.Words
	System string   // address of the code system, below the base
	Codes  []string // nil = all of the system

	has map[string]bool
}

// Has tells whether a code of its system is in the set; a set of all holds each.
func (s *ValueSet) Has(code string) bool { return s.Codes == nil || s.has[code] }

// LabelSet is the value set of all flow labels.
const LabelSet = "flow-label"

// CodesOf names the value set of the codes of a profile, PartsOf that of its components.
func CodesOf(id string) string { return id + "-codes" }

// PartsOf names the value set of the codes of components under a profile.
func PartsOf(id string) string { return id + "-components" }

// ValueSets gives every value set of ours: the flow labels, the codes of each profile, and
// each set of coded values of the table of measures.
func ValueSets() []ValueSet {
	sets := []ValueSet{{ID: LabelSet, Title: words("which flow a number stands for", "für welchen Fluss eine Zahl steht"), System: measure.LabelCodesAt}}
	for _, p := range table {
		codes := mapping.LocalCodesOf(p.ID)
		if p.ID == mapping.ReportProfile {
			codes = []string{mapping.ReportCode}
		}
		sets = append(sets, ValueSet{ID: CodesOf(p.ID), Title: around("codes of: {}", "Codes von: {}", p.Title), System: measure.MeasureCodes, Codes: codes})
		if parts := mapping.ComponentCodes(p.ID); len(parts) > 0 {
			sets = append(sets, ValueSet{ID: PartsOf(p.ID), Title: around("components of: {}", "Komponenten von: {}", p.Title), System: measure.MeasureCodes, Codes: parts})
		}
	}
	for _, name := range measure.Sets() {
		sets = append(sets, ValueSet{ID: name, Title: words("coded values: "+name, "codierte Werte: "+name), System: measure.ValueCodes, Codes: measure.SetNames(name)})
	}
	return sets
}

var setsByID = sync.OnceValue(func() map[string]*ValueSet {
	sets := map[string]*ValueSet{}
	for _, s := range ValueSets() {
		s.has = map[string]bool{}
		for _, code := range s.Codes {
			s.has[code] = true
		}
		sets[s.ID] = &s
	}
	return sets
})

// SetNamed gives a value set by its identifier; it must not be changed.
func SetNamed(id string) (*ValueSet, bool) {
	s, known := setsByID()[id]
	return s, known
}
