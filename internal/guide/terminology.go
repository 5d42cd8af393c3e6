package guide

import (
	"path"
	"slices"

	"saltmark/internal/profile"
	"saltmark/internal/terms"
	"saltmark/mapping/measure"
)

// Published are the code systems of others in use, each with the notice that goes with
// its codes.
var Published = []struct{ ID, URL, Notice string }{
	{"loinc", terms.SystemLOINC, "This material contains content from LOINC (http://loinc.org). LOINC is copyright 1995-2026, Regenstrief Institute, Inc. and the Logical Observation Identifiers Names and Codes (LOINC) Committee and is available at no cost under the license at http://loinc.org/license. LOINC is a registered United States trademark of Regenstrief Institute, Inc."},
	{"mdc", terms.SystemMDC, "Codes of ISO/IEEE 11073-10101, available royalty-free through the RTMMS of NIST by agreement with IEEE."},
	{"dcm", terms.SystemDICOM, "DICOM Standard, Part 16, copyright National Electrical Manufacturers Association."},
	{"sct", terms.SystemSNOMED, "Codes of the SNOMED CT Global Patient Set, CC BY 4.0, copyright SNOMED International, which endorses nothing here."},
}

// ownSystem is a code system of ours.
type ownSystem struct {
	at    string
	title measure.Words
	codes []measure.Coded
}

func ownSystems() []ownSystem {
	return []ownSystem{
		{measure.MeasureCodes, measure.Words{"local codes of measures", "lokale Codes der Messgrößen"}, measure.LocalCodes()},
		{measure.LabelCodesAt, setTitle(profile.LabelSet), measure.LabelCodes()},
		{measure.ReasonCodes, measure.Words{"why a value is absent, or a flow is not determined", "warum ein Wert fehlt oder ein Fluss nicht bestimmt ist"}, reasonCodes()},
		{measure.ValueCodes, measure.Words{"coded values", "codierte Werte"}, valueCodes()},
	}
}

// codeSystems gives our code systems, which are whole.
func (m *maker) codeSystems() []object {
	var list []object
	for _, own := range ownSystems() {
		var concepts []object
		for _, c := range own.codes {
			concepts = append(concepts, concept(c))
		}
		list = append(list, append(m.head("CodeSystem", path.Base(own.at), english(own.title), "All of: "+english(own.title)+"."), obj(
			"caseSensitive", true, "content", "complete", "count", len(concepts), "concept", concepts)...))
	}
	return list
}

// concept gives a code with our words in every language.
func concept(c measure.Coded) object {
	var designations []object
	for _, l := range measure.Languages()[1:] {
		designations = append(designations, obj("language", l.Code(), "value", c.Words.In(l)))
	}
	return obj("code", c.Code, "display", english(c.Words), "designation", designations)
}

func reasonCodes() []measure.Coded {
	var codes []measure.Coded
	for _, r := range measure.Reasons() {
		codes = append(codes, measure.Coded{Code: r.Code, Words: r.Words})
	}
	return codes
}

// valueCodes gives the codes of all sets, each once, with the words of the first set that
// has it: one code system holds them all.
func valueCodes() []measure.Coded {
	var codes []measure.Coded
	for _, set := range measure.Sets() {
		for _, c := range measure.Set(set) {
			if !slices.ContainsFunc(codes, func(known measure.Coded) bool { return known.Code == c.Code }) {
				codes = append(codes, c)
			}
		}
	}
	return codes
}

// valueSets gives our value sets.
func (m *maker) valueSets() []object {
	var list []object
	for _, s := range profile.ValueSets() {
		include := obj("system", m.base+s.System)
		var concepts []object
		for _, code := range s.Codes {
			concepts = append(concepts, obj("code", code))
		}
		if concepts != nil {
			include = include.with("concept", concepts)
		}
		list = append(list, append(m.head("ValueSet", s.ID, english(s.Title), "Value set: "+english(s.Title)+"."), obj(
			"compose", obj("include", []object{include}))...))
	}
	return list
}
