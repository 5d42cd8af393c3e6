package audit_test

import "encoding/json"

// Goldens in other forms.
const (
	plainByID       = "01-plain-infant.by-id.json"
	plainOnce       = "01-plain-infant.create-once.json"
	plainCollection = "01-plain-infant.collection.json"
	plainDocument   = "01-plain-infant.document.json"
	plainLines      = "01-plain-infant.ndjson"
	otherUUID       = "00000000-0000-5000-8000-000000000000"
)

// reword changes the words of a report, which follow from the facts.
func reword(b node) { res(b, "report")["conclusion"] = "Cardiac output 0.61 L/min." }

// formMutations change what is of one form or mode alone, and show that the rules on
// sessions hold in every form.
var formMutations = []mutation{
	// What is asked for.
	{"a search for another resource", "address-differs", "", func(b node) {
		at(entry(b, weight), "request")["url"] = "Observation?identifier=https%3A%2F%2Fsaltmark.example%2Ffhir%2Fsid%2Fsession%7Cdemo-2031-0009%2Fsession%2Fweight%2Fstated"
	}},
	{"an id of another resource written over", "address-differs", plainByID, func(b node) { at(entry(b, weight), "request")["url"] = "Observation/" + otherUUID }},
	{"an id that follows from nothing", "address-differs", plainByID, func(b node) { res(b, weight)["id"] = otherUUID }},
	{"a value that is added at each loading", "address-differs", plainOnce, func(b node) { delete(at(entry(b, weight), "request"), "ifNoneExist") }},
	{"a shared device taken for another one", "address-differs", plainByID, func(b node) {
		at(entry(b, "Device"), "request")["ifNoneExist"] = "identifier=https%3A%2F%2Fsaltmark.example%2Ffhir%2Fsid%2Fdevice%7Cmonitor%2Fm9"
	}},
	{"a fullUrl that follows from nothing", "address-differs", plainCollection, func(b node) {
		entry(b, stroke)["fullUrl"] = "urn:uuid:" + otherUUID
	}},
	{"a line under another id", "address-differs", plainLines, func(b node) { res(b, stroke)["id"] = otherUUID }},
	{"one condition under two modes", "full-url-twice", plainByID, func(b node) { b["entry"] = append(list(b, "entry"), clone(entry(b, weight))) }},

	// Created once.
	{"a revision in what is created once", "create-once-revision", plainOnce, func(b node) { revise(b, "2") }},
	{"a withdrawal in what is created once", "create-once-revision", plainOnce, func(b node) {
		for _, e := range list(b, "entry") {
			r := at(e, "resource")
			if r["status"] != nil {
				r["status"] = "entered-in-error"
			}
			if r["status"] != nil && r["resourceType"] != "DiagnosticReport" {
				r["note"] = []any{node{"authorReference": node{"type": "Practitioner", "identifier": node{"system": "https://saltmark.example/fhir/sid/demo-person", "value": "demo-person-1"}}, "time": "2031-05-03T18:00:00+02:00", "text": "wrong child"}}
			}
		}
	}},
	{"a revision of which one resource is created once", "create-once-revision", "series-3-corrected.by-id.json", func(b node) {
		q := at(entry(b, weight), "request")
		q["method"], q["url"] = "POST", "Observation"
		q["ifNoneExist"] = "identifier=x"
	}},
	{"what is created once though nobody verified it", "create-once-unfinished", plainOnce, func(b node) {
		r := res(b, panel)
		var kept []any
		for _, c := range list(r, "component") {
			if code := at(c, "code", "coding", 0)["code"]; code != "verified-revision" && code != "verified-at" {
				kept = append(kept, c)
			}
		}
		r["component"] = kept
		delete(res(b, "report"), "resultsInterpreter")
	}},

	// Documents.
	{"a document that is final though its report is partial", "document-status", "series-1-preliminary.document.json", func(b node) { res(b, "Composition")["status"] = "final" }},
	{"a document that stands though its session was withdrawn", "document-status", "series-4-withdrawn.document.json", func(b node) { res(b, "Composition")["status"] = "amended" }},
	{"a document of what never was, still standing", "document-status", "29-never-measured.document.json", func(b node) { res(b, "Composition")["status"] = "preliminary" }},
	{"somebody vouches for an unverified document", "document-attester", "series-1-preliminary.document.json", func(b node) {
		res(b, "Composition")["attester"] = []any{node{"mode": "legal", "party": node{"type": "Practitioner", "identifier": node{"system": "https://saltmark.example/fhir/sid/demo-person", "value": "demo-person-9"}}}}
	}},
	{"somebody else vouches for a document", "document-attester", plainDocument, func(b node) {
		at(res(b, "Composition"), "attester", 0, "party", "identifier")["value"] = "demo-person-3"
	}},
	{"a document of another number", "rewrite-differs", plainDocument, func(b node) { at(b, "identifier")["value"] = "demo-2031-0001/document/2" }},
	{"a section in other words", "rewrite-differs", plainDocument, func(b node) {
		at(res(b, "Composition"), "section", 0, "text")["div"] = `<div xmlns="http://www.w3.org/1999/xhtml" lang="en" xml:lang="en"><p>Cardiac output 0.61 L/min.</p></div>`
	}},
	{"a section left out", "rewrite-differs", plainDocument, func(b node) {
		c := res(b, "Composition")
		c["section"] = list(c, "section")[:2]
	}},
	{"a section with an entry of nothing", "reference-unresolved", plainDocument, func(b node) {
		at(res(b, "Composition"), "section", 0, "entry", 0)["reference"] = "urn:uuid:" + otherUUID
	}},
	{"a document that begins with its report", "document-form", plainDocument, func(b node) {
		l := list(b, "entry")
		b["entry"] = append(append([]any{}, l[1:]...), l[0])
	}},
	{"another child in the document", "patient-differs", plainDocument, func(b node) {
		at(res(b, "Composition"), "subject", "identifier")["value"] = "DEMO-P-0009"
	}},

	// The rules on sessions, in each form.
	{"a request in a collection", "request-forbidden", plainCollection, func(b node) { entry(b, weight)["request"] = node{"method": "PUT", "url": "Observation/1"} }},
	{"a label removed in a collection", "flow-without-label", plainCollection, func(b node) { unlabel(res(b, flow)) }},
	{"a number changed in a collection", "derived-value", plainCollection, func(b node) { number(res(b, flow), "0.611") }},
	{"no Procedure in a collection", "session-incomplete", plainCollection, func(b node) { drop(b, "loop"); unrefer(b) }},
	{"no Provenance in a collection", "session-incomplete", plainCollection, func(b node) { drop(b, "Provenance") }},
	{"words changed in a collection", "rewrite-differs", plainCollection, reword},
	{"words changed by id", "rewrite-differs", plainByID, reword},
	{"words changed in what is created once", "rewrite-differs", plainOnce, reword},
	{"a reference to an Observation of somebody else by id", "reference-unresolved", plainByID, func(b node) { at(res(b, flow), "derivedFrom", 0)["reference"] = "Observation/1" }},
	{"words changed in a line", "rewrite-differs", plainLines, reword},
	{"a number changed in a line", "derived-value", plainLines, func(b node) { number(res(b, second), "0.623") }},
	{"a status changed in a line", "status-wrong", plainLines, func(b node) { res(b, load)["status"] = "preliminary" }},
	{"a label removed in a line", "flow-without-label", plainLines, func(b node) { unlabel(res(b, flow)) }},
	{"another subject in a line", "patient-differs", plainLines, func(b node) { at(res(b, weight), "subject", "identifier")["value"] = "DEMO-P-0009" }},
	{"a line left out", "derived-missing", plainLines, func(b node) { drop(b, stroke); unreferLines(b) }},
	{"no line of the Provenance", "session-incomplete", plainLines, func(b node) { drop(b, "Provenance") }},
	{"no line of the panel", "panel-missing", plainLines, func(b node) { drop(b, panel); unreferLines(b) }},
	{"no line of a device that was used", "reference-unknown", plainLines, func(b node) { drop(b, "Device") }},
	{"a line twice", "identity-repeated", plainLines, func(b node) {
		l := list(b, "entry")
		b["entry"] = append([]any{l[0], l[1], l[2], l[3], l[3]}, l[4:]...)
	}},
	{"a line that leads to nothing", "reference-unresolved", plainLines, func(b node) { at(res(b, flow), "derivedFrom", 0)["reference"] = "Observation/" + otherUUID }},
	{"a unit in a line", "unit-of-measure", plainLines, func(b node) { quantity(res(b, flow))["code"] = "mL" }},
}

// revise gives the panel another revision.
func revise(b node, revision string) {
	component(res(b, panel), "revision")["valueInteger"] = json.Number(revision)
	component(res(b, panel), "verified-revision")["valueInteger"] = json.Number(revision)
}

// unreferLines takes references to lines that are gone out of every list.
func unreferLines(b node) {
	known := map[any]bool{}
	for _, e := range list(b, "entry") {
		r := at(e, "resource")
		known[r["resourceType"].(string)+"/"+r["id"].(string)] = true
	}
	for _, e := range list(b, "entry") {
		r := at(e, "resource")
		for _, name := range []string{"hasMember", "derivedFrom", "result", "target", "partOf"} {
			var kept []any
			for _, ref := range list(r, name) {
				if known[ref.(node)["reference"]] {
					kept = append(kept, ref)
				}
			}
			if delete(r, name); len(kept) > 0 {
				r[name] = kept
			}
		}
	}
}
