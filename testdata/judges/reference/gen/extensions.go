package main

import (
	"saltmark/mapping"
	"saltmark/mapping/measure"
)

// ours are the extensions that mapping writes: where each may stand, the type of its
// value, and the codes that the value must be one of.
var ours = []struct {
	id, title string
	on        []string
	value     string
	system    string // code system of the allowed values, below the base; "" = no codes
	set       string // the set of those values in it; "" = all of the system
}{
	{"flow-label", "which flow a number stands for", []string{"Observation", "Observation.component"}, "CodeableConcept", measure.LabelCodesAt, ""},
	{"origin", "how a value came to be", []string{"Observation", "Observation.component"}, "code", measure.ValueCodes, "origin"},
	{"obtained", "how a vital sign was obtained", []string{"Observation"}, "code", measure.ValueCodes, "obtained"},
	{"bound", "the bound that a value lay beyond", []string{"Observation.dataAbsentReason", "Observation.component.dataAbsentReason"}, "Quantity", "", ""},
}

// extensions gives their StructureDefinitions, differential only, and the value sets
// that they bind.
func extensions() []node {
	var resources []node
	for _, e := range ours {
		value := node{"id": "Extension.value[x]", "path": "Extension.value[x]", "min": 1, "type": []node{{"code": e.value}}}
		if e.system != "" {
			set := valueSet(e.id, e.system, e.set)
			resources = append(resources, set)
			value["binding"] = node{"strength": "required", "valueSet": set["url"]}
		}
		resources = append(resources, extension(e.id, e.title, e.on, value))
	}
	return append(resources, codedParts()...)
}

func extension(id, title string, on []string, value node) node {
	url := measure.DefaultBase + "/StructureDefinition/" + id
	var context []node
	for _, place := range on {
		context = append(context, node{"type": "element", "expression": place})
	}
	return node{
		"resourceType": "StructureDefinition", "id": id, "url": url, "name": id, "title": title,
		"status": "active", "fhirVersion": "4.0.1", "kind": "complex-type", "abstract": false,
		"context": context, "type": "Extension",
		"baseDefinition": "http://hl7.org/fhir/StructureDefinition/Extension", "derivation": "constraint",
		"differential": node{"element": []node{
			{"id": "Extension", "path": "Extension", "max": "1"},
			{"id": "Extension.extension", "path": "Extension.extension", "max": "0"},
			{"id": "Extension.url", "path": "Extension.url", "fixedUri": url},
			value,
		}},
	}
}

// valueSet holds the codes of one set of a code system of ours, or all of it.
func valueSet(id, system, set string) node {
	include := node{"system": measure.DefaultBase + system}
	if set != "" {
		var concepts []node
		for _, c := range measure.Set(set) {
			concepts = append(concepts, node{"code": c.Code})
		}
		include["concept"] = concepts
	}
	return node{
		"resourceType": "ValueSet", "id": id, "url": measure.DefaultBase + "/ValueSet/" + id,
		"status": "active", "compose": node{"include": []node{include}},
	}
}

// codedParts are the extensions in place of coded components, where a national profile
// keeps these for quantities.
func codedParts() []node {
	var resources []node
	for _, m := range mapping.CodedParts() {
		set := valueSet(m.Key, measure.ValueCodes, m.Values)
		value := node{"id": "Extension.value[x]", "path": "Extension.value[x]", "min": 1, "type": []node{{"code": "CodeableConcept"}}}
		value["binding"] = node{"strength": "required", "valueSet": set["url"]}
		resources = append(resources, set, extension(m.Key, m.WordsFor("", measure.English), []string{"Observation"}, value))
	}
	return resources
}
