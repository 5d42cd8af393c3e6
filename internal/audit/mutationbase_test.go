package audit_test

import (
	"encoding/json"
	"strings"
)

// baseMutations break a rule of FHIR inside a resource.
var baseMutations = []mutation{
	{"no status", "element-missing", "", func(b node) { delete(res(b, flow), "status") }},
	{"no time of the provenance", "element-missing", "", func(b node) { delete(res(b, "Provenance"), "recorded") }},
	{"a status of no value set", "binding-required", "", func(b node) { res(b, flow)["status"] = "finished" }},
	{"two values", "choice-twice", "", func(b node) { res(b, flow)["valueString"] = "0.610 L/min" }},
	{"two values in a component", "choice-twice", "", func(b node) { component(res(b, flow), "spread")["valueString"] = "4" }},
	{"two times", "choice-twice", "", func(b node) { res(b, flow)["effectivePeriod"] = node{"start": "2031-05-03"} }},
	{"lists of two lengths", "field-list-length", "", func(b node) {
		res(b, "Provenance")["policy"] = []any{"urn:x"}
		res(b, "Provenance")["_policy"] = []any{nil, node{"id": "a"}}
	}},
	{"a value and a reason for none", "absent-with-value", "", func(b node) { res(b, flow)["dataAbsentReason"] = node{"text": "unknown"} }},
	{"a component under the own code", "component-repeats-code", "", func(b node) { at(component(res(b, flow), "spread"))["code"] = at(res(b, flow), "code") }},
	{"a day that no calendar has", "time-not-real", "", func(b node) { res(b, flow)["effectiveDateTime"] = "2031-02-30T14:30:00+02:00" }},
	{"a time without an offset", "time-not-real", "", func(b node) { res(b, flow)["issued"] = "2031-05-03T14:55:00" }},
	{"a period backward", "period-backward", "", func(b node) { at(res(b, panel), "effectivePeriod")["end"] = "2031-05-03T14:00:00+02:00" }},
	{"a unit code without a system", "unit-without-system", "", func(b node) { delete(quantity(res(b, flow)), "system") }},
	{"a unit of no grammar", "unit-not-ucum", "", func(b node) { quantity(res(b, flow))["code"] = "L//min" }},
	{"a unit of another dimension", "unit-of-measure", "", func(b node) { quantity(res(b, flow))["code"] = "mL" }},
	{"a unit of another dimension in a component", "unit-of-measure", "", func(b node) { quantity(component(res(b, "injection-1/injection"), "indicator-volume"))["code"] = "mg" }},
	{"a letter in sampled data", "sampled-data-text", "27-with-traces", func(b node) {
		s := at(res(b, "injection-1/arterial-trace/reported"), "valueSampledData")
		s["data"] = "X" + s["data"].(string)
	}},
	{"two spaces in sampled data", "sampled-data-text", "27-with-traces", func(b node) {
		s := at(res(b, "injection-1/arterial-trace/reported"), "valueSampledData")
		s["data"] = strings.Replace(s["data"].(string), " ", "  ", 1)
	}},
	{"a LOINC code mistyped", "loinc-check-digit", "", func(b node) { code(res(b, flow))["code"] = "8737-8" }},
	{"a LOINC display of our own", "loinc-display", "", func(b node) { code(res(b, flow))["display"] = "Cardiac output" }},
	{"a local code of no table", "code-not-ours", "", func(b node) { at(res(b, flow), "code", "coding", 1)["code"] = "cardiac-output" }},
	{"weight by the code of a near relation alone", "vital-sign-main-code", "", func(b node) { code(res(b, weight))["code"] = "3141-9"; delete(code(res(b, weight)), "display") }},
	{"weight without its category", "vital-sign-category", "", func(b node) { at(res(b, weight), "category", 0, "coding", 0)["code"] = "exam" }},
	{"weight without a time", "vital-sign-incomplete", "", func(b node) { delete(res(b, weight), "effectiveDateTime") }},
	{"weight in stones", "vital-sign-unit", "", func(b node) { quantity(res(b, weight))["code"] = "[stone_av]" }},
	{"a condition on a vital sign", "vital-sign-component", "", func(b node) { res(b, weight)["component"] = []any{clone(component(res(b, flow), "agreement"))} }},
	{"a flow on a vital sign", "vital-sign-component", "", func(b node) {
		res(b, weight)["component"] = []any{node{"code": node{"text": "flow"}, "valueQuantity": node{"value": json.Number("1"), "unit": "L/min", "system": "http://unitsofmeasure.org", "code": "L/min"}}}
	}},
	{"active content in a narrative", "narrative-unsafe", "", func(b node) {
		at(res(b, flow), "text")["div"] = `<div xmlns="http://www.w3.org/1999/xhtml" onclick="x()">0.610</div>`
	}},
	{"a script in a narrative", "narrative-unsafe", "", func(b node) {
		at(res(b, flow), "text")["div"] = `<div xmlns="http://www.w3.org/1999/xhtml"><script>x</script></div>`
	}},
	{"a narrative not closed", "narrative-unsafe", "", func(b node) { at(res(b, flow), "text")["div"] = `<div xmlns="http://www.w3.org/1999/xhtml"><b>x</div>` }},
	{"a reference range of nothing", "reference-range-empty", "", func(b node) {
		res(b, flow)["referenceRange"] = []any{node{"appliesTo": []any{node{"text": "infants"}}}}
	}},
	{"a range upside down", "range-backward", "", func(b node) {
		res(b, flow)["referenceRange"] = []any{node{"low": node{"value": json.Number("0.8"), "unit": "L/min"}, "high": node{"value": json.Number("0.40"), "unit": "L/min"}}}
	}},
	{"an extension with a value and extensions", "extension-form", "", func(b node) {
		at(res(b, flow), "extension", 0)["extension"] = []any{node{"url": "urn:x", "valueCode": "x"}}
	}},
	{"an extension of nothing", "extension-form", "", func(b node) {
		r := res(b, flow)
		r["extension"] = append(list(r, "extension"), node{"url": "urn:x"})
	}},
	{"a value above a limit", "comparator-forbidden", "", func(b node) { quantity(res(b, stroke))["comparator"] = ">" }},
	{"an origin below a limit", "comparator-forbidden", "27-with-traces", func(b node) {
		at(res(b, "injection-1/arterial-trace/reported"), "valueSampledData", "origin")["comparator"] = "<"
	}},
	{"a contained resource that nobody refers to", "contained-wrong", "", func(b node) {
		res(b, flow)["contained"] = []any{node{"resourceType": "Device", "id": "monitor"}}
	}},
	{"a contained resource that contains another", "contained-wrong", "", func(b node) {
		at(res(b, flow), "device")["reference"] = "#monitor"
		res(b, flow)["contained"] = []any{node{"resourceType": "Device", "id": "monitor", "contained": []any{node{"resourceType": "Device", "id": "part"}}}}
	}},
	{"a contained resource with a version", "contained-wrong", "", func(b node) {
		at(res(b, flow), "device")["reference"] = "#monitor"
		res(b, flow)["contained"] = []any{node{"resourceType": "Device", "id": "monitor", "meta": node{"versionId": "1"}}}
	}},
	{"a section of nothing", "section-empty", "", func(b node) {
		slip(b, node{"resourceType": "Composition", "status": "final", "type": node{"text": "x"}, "date": "2031-05-03", "title": "x",
			"author": []any{node{"display": "x"}}, "section": []any{node{"title": "flows"}}})
	}},
}

// bundleMutations break a rule of FHIR on bundles and references.
var bundleMutations = []mutation{
	{"no fullUrl", "full-url-missing", "", func(b node) { delete(entry(b, weight), "fullUrl") }},
	{"a fullUrl twice", "full-url-twice", "", func(b node) { entry(b, weight)["fullUrl"] = entry(b, stroke)["fullUrl"] }},
	{"no request", "request-missing", "", func(b node) { delete(entry(b, weight), "request") }},
	{"requests in a collection", "request-forbidden", "", func(b node) { b["type"] = "collection" }},
	{"a request for another type", "request-type", "", func(b node) {
		q := at(entry(b, weight), "request")
		q["url"] = strings.Replace(q["url"].(string), "Observation", "Procedure", 1)
	}},
	{"a condition twice", "condition-twice", "", func(b node) { at(entry(b, weight), "request")["url"] = at(entry(b, stroke), "request")["url"] }},
	{"one identity for two", "identity-twice", "", func(b node) { at(res(b, weight), "identifier", 0)["value"] = "demo-2031-0001/" + stroke }},
	{"a total in a transaction", "total-forbidden", "", func(b node) { b["total"] = json.Number("3") }},
	{"a reference to nothing", "reference-unresolved", "", func(b node) {
		at(res(b, flow), "device")["reference"] = "urn:uuid:00000000-0000-5000-8000-000000000000"
	}},
	{"a contained resource that is not there", "reference-unresolved", "", func(b node) { at(res(b, flow), "device")["reference"] = "#monitor" }},
	{"a device that is an Observation", "reference-type", "", func(b node) { at(res(b, flow), "device")["reference"] = entry(b, weight)["fullUrl"] }},
	{"a subject that is a Practitioner", "reference-type", "", func(b node) { at(res(b, flow), "subject")["reference"] = "Practitioner/1" }},
	{"a circle of sources", "reference-cycle", "", func(b node) { res(b, weight)["derivedFrom"] = []any{node{"reference": entry(b, perKg)["fullUrl"]}} }},
	{"a reference to an Observation elsewhere", "reference-unresolved", "", func(b node) { at(res(b, flow), "derivedFrom", 0)["reference"] = "Observation/1" }},
	{"a document without identifier, time and Composition", "document-form", "", func(b node) { b["type"] = "document" }},
	{"an entry of nothing", "entry-empty", "", func(b node) {
		b["entry"] = append(list(b, "entry"), node{"fullUrl": "urn:uuid:00000000-0000-5000-8000-000000000000"})
	}},
	{"a rank among results of a search", "entry-part-forbidden", "", func(b node) { entry(b, flow)["search"] = node{"mode": "match"} }},
	{"an answer in a question", "entry-part-forbidden", "", func(b node) { entry(b, flow)["response"] = node{"status": "200"} }},
	{"a relative fullUrl", "full-url-form", "", func(b node) { entry(b, stroke)["fullUrl"] = "Observation/1" }},
	{"a fullUrl that is no UUID", "full-url-form", "", func(b node) { entry(b, stroke)["fullUrl"] = "urn:uuid:1" }},
	{"a fullUrl of one version", "full-url-form", "", func(b node) { entry(b, stroke)["fullUrl"] = "https://x.example/Observation/1/_history/2" }},
	{"a fullUrl of another id", "full-url-id", "", func(b node) {
		entry(b, stroke)["fullUrl"] = "https://x.example/Observation/1"
		res(b, stroke)["id"] = "2"
	}},
	{"a request that names no type", "request-type", "", func(b node) { at(entry(b, weight), "request")["url"] = "observation?identifier=1" }},
}

// shapeMutations break the shape that the official schema asks for.
var shapeMutations = []mutation{
	{"a value as text", "schema-type", "", func(b node) { res(b, flow)["valueQuantity"] = "0.61 L/min" }},
	{"a null in a list", "schema-null", "", func(b node) { r := res(b, flow); r["category"] = append(list(r, "category"), nil) }},
	{"no code", "element-missing", "", func(b node) { delete(res(b, flow), "code") }},
	{"an unknown element", "schema-unknown-element", "", func(b node) { res(b, flow)["valeu"] = "x" }},
	{"an empty text", "schema-empty", "", func(b node) { at(res(b, flow), "code")["text"] = "" }},
	{"an empty list", "schema-empty", "", func(b node) { at(res(b, flow), "code")["coding"] = []any{} }},
	{"an id of no form", "schema-pattern", "", func(b node) { res(b, "Provenance")["id"] = "a b" }},
	{"a verb of no set", "binding-required", "", func(b node) { at(entry(b, weight), "request")["method"] = "SEND" }},
	{"dimensions nought", "schema-range", "27-with-traces", func(b node) {
		at(res(b, "injection-1/arterial-trace/reported"), "valueSampledData")["dimensions"] = json.Number("0")
	}},
	{"a text of a novel", "schema-length", "", func(b node) { at(res(b, flow), "code")["text"] = strings.Repeat("a", 1<<20+1) }},
	{"a control character", "schema-control-character", "", func(b node) { at(res(b, flow), "code")["text"] = "a\u0001b" }},
	{"a resource of no type", "schema-resource-type", "", func(b node) { res(b, weight)["resourceType"] = "Weight" }},
}
