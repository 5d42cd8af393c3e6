package main

import (
	"path"

	"saltmark/internal/terms"
	"saltmark/mapping/measure"
)

// published are the code systems of others in use. Of each a fragment is written
// that holds the codes of the tables and the notice that goes with them.
var published = []struct{ id, url, notice string }{
	{"loinc", terms.SystemLOINC, "This material contains content from LOINC (http://loinc.org). LOINC is copyright 1995-2026, Regenstrief Institute, Inc. and the Logical Observation Identifiers Names and Codes (LOINC) Committee and is available at no cost under the license at http://loinc.org/license. LOINC is a registered United States trademark of Regenstrief Institute, Inc."},
	{"mdc", terms.SystemMDC, "Codes of ISO/IEEE 11073-10101, available royalty-free through the RTMMS of NIST by agreement with IEEE."},
	{"dcm", terms.SystemDICOM, "DICOM Standard, Part 16, copyright National Electrical Manufacturers Association."},
	{"sct", terms.SystemSNOMED, "Codes of the SNOMED CT Global Patient Set, CC BY 4.0, copyright SNOMED International, which endorses nothing here."},
}

// codeSystems gives the fragments and our own code systems, which are whole.
func codeSystems() []node {
	var systems []node
	for _, p := range published {
		var concepts []node
		for _, e := range terms.Entries() {
			if e.System == p.url {
				concepts = append(concepts, concept(e.Code, e.Display()))
			}
		}
		systems = append(systems, codeSystem(p.id, p.url, "fragment", p.notice, concepts))
	}
	for _, own := range []struct {
		at    string
		codes []measure.Coded
	}{
		{measure.MeasureCodes, measure.LocalCodes()},
		{measure.LabelCodesAt, measure.LabelCodes()},
		{measure.ReasonCodes, reasonCodes()},
		{measure.ValueCodes, valueCodes()},
	} {
		var concepts []node
		for _, c := range own.codes {
			concepts = append(concepts, withDesignations(concept(c.Code, c.Words.In(measure.English)), c.Words))
		}
		systems = append(systems, codeSystem(path.Base(own.at), measure.DefaultBase+own.at, "complete", "", concepts))
	}
	return systems
}

func codeSystem(id, url, content, notice string, concepts []node) node {
	system := node{
		"resourceType": "CodeSystem", "id": id, "url": url, "status": "active",
		"content": content, "caseSensitive": true, "concept": concepts,
	}
	if notice != "" {
		system["copyright"] = notice
	}
	return system
}

// withDesignations adds our words in the other languages.
func withDesignations(c node, words measure.Words) node {
	var list []node
	for _, l := range measure.Languages()[1:] {
		list = append(list, node{"language": l.Code(), "value": words.In(l)})
	}
	c["designation"] = list
	return c
}

func concept(code, display string) node {
	c := node{"code": code}
	if display != "" {
		c["display"] = display
	}
	return c
}

func reasonCodes() []measure.Coded {
	var codes []measure.Coded
	for _, r := range measure.Reasons() {
		codes = append(codes, measure.Coded{Code: r.Code, Words: r.Words})
	}
	return codes
}

// valueCodes gives the codes of all sets, each once, with the words of the first set
// that has it: one code system holds them all.
func valueCodes() []measure.Coded {
	var codes []measure.Coded
	seen := map[string]bool{}
	for _, set := range measure.Sets() {
		for _, c := range measure.Set(set) {
			if !seen[c.Code] {
				seen[c.Code] = true
				codes = append(codes, c)
			}
		}
	}
	return codes
}
