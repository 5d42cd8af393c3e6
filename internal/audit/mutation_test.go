package audit_test

import (
	"encoding/json"
	"strings"
)

const (
	flow   = "session/blood-flow/derived"
	area   = "session/blood-flow-index-by-area/derived"
	perKg  = "session/blood-flow-index-by-weight/derived"
	stroke = "session/stroke-volume/derived"
	weight = "session/weight/stated"
	panel  = "session/session-panel"
	shunt  = "session/shunt-context"
	load   = "session/measurement-load"
	first  = "injection-1/blood-flow/reported"
	second = "injection-2/blood-flow/reported"
)

// mutation is one change of a good bundle, and the rule meant for it.
type mutation struct {
	name   string
	rule   string
	bundle string // "" = the plain infant
	change func(b node)
}

func quantity(r node) node { return at(r, "valueQuantity") }

func number(r node, n string) { quantity(r)["value"] = json.Number(n) }

func code(r node) node { return at(r, "code", "coding", 0) }

// mutations is the table. Those that the task names come first.
var mutations = []mutation{
	{"litres written as millilitres with the number kept", "derived-value", "", func(b node) { quantity(res(b, flow))["unit"] = "mL/min"; quantity(res(b, flow))["code"] = "mL/min" }},
	{"mean times 1000", "derived-value", "", func(b node) { number(res(b, flow), "610") }},
	{"one subject exchanged", "subject-differs", "", func(b node) { at(res(b, stroke), "subject")["reference"] = "Patient?identifier=https%3A%2F%2Fx%7C9" }},
	{"label removed", "flow-without-label", "", func(b node) { unlabel(res(b, flow)) }},
	{"label and code disagreeing", "label-code", "", func(b node) { setLabel(res(b, flow), "LVO") }},
	{"index code on a flow", "code-identity", "", func(b node) { code(res(b, flow))["code"] = "8751-0"; delete(code(res(b, flow)), "display") }},
	{"final without verifier", "final-without-verifier", "", func(b node) {
		agents := list(res(b, "Provenance"), "agent")
		res(b, "Provenance")["agent"] = append(agents[:1:1], agents[2:]...)
	}},
	{"made from an excluded injection", "derived-from-excluded", "17-excluded-injection", func(b node) {
		from := list(res(b, flow), "derivedFrom")
		excludedFlow := entry(b, "injection-2/blood-flow/reported")["fullUrl"]
		at(from[0])["reference"] = excludedFlow
	}},
	{"a time moved by an hour", "derived-time", "", func(b node) { res(b, flow)["effectiveDateTime"] = "2031-05-03T15:30:00+02:00" }},
	{"another session's identifier", "session-differs", "", func(b node) { at(res(b, flow), "identifier", 0)["value"] = "demo-2031-0002/" + flow }},
	{"a trailing zero lost", "derived-value", "", func(b node) { number(res(b, flow), "0.61") }},
	{"a trailing zero of a reading lost", "derived-value", "", func(b node) { number(res(b, first), "0.60") }},

	// Label safety.
	{"label of an injection removed", "flow-without-label", "", func(b node) { unlabel(res(b, first)) }},
	{"label of the index removed", "flow-without-label", "", func(b node) { unlabel(res(b, perKg)) }},
	{"left ventricular code under the label Qs", "left-code-without-left-label", "", func(b node) { setLabel(res(b, flow), "Qs") }},
	{"left ventricular index under the label Qs-RVO", "left-code-without-left-label", "", func(b node) { setLabel(res(b, area), "Qs-RVO") }},
	{"left ventricular code put on a duct's flow", "left-code-without-left-label", "03-term-duct-area-counted", func(b node) {
		c := at(res(b, flow), "code")
		c["coding"] = append([]any{node{"system": "http://loinc.org", "code": "8737-9"}}, list(c, "coding")...)
	}},
	{"a code of a known flow under no known label", "label-code", "09-stale-echo", func(b node) { code(res(b, flow))["code"] = "systemic-blood-flow" }},
	{"a label that the facts do not give", "label-wrong", "03-term-duct-area-counted", func(b node) { setLabel(res(b, flow), "Qs") }},
	{"labels of extension and component differ", "label-disagrees", "", func(b node) {
		at(component(res(b, flow), "flow-stands-for"), "valueCodeableConcept", "coding", 0)["code"] = "Qs-LVO"
	}},
	{"a label of no table", "label-unknown", "", func(b node) { setLabel(res(b, flow), "CO") }},
	{"the shunt context not named", "label-context", "", func(b node) { r := res(b, flow); l := list(r, "derivedFrom"); r["derivedFrom"] = l[:len(l)-1] }},
	{"a duct opened in the context", "label-wrong", "", func(b node) {
		at(component(res(b, shunt), "ductal-state"), "valueCodeableConcept", "coding", 0)["code"] = "not-seen"
	}},
	{"a look made older", "derived-value", "", func(b node) { component(res(b, shunt), "ductal-seen")["valueDateTime"] = "2031-05-01T13:40:00+02:00" }},
	{"the monitor's area changed", "label-wrong", "03-term-duct-area-counted", func(b node) {
		at(component(res(b, panel), "area-counts-lung-recirculation"), "valueCodeableConcept", "coding", 0)["code"] = "no"
	}},
	{"a reading moved by an hour", "moment-differs", "", func(b node) { res(b, first)["effectiveDateTime"] = "2031-05-03T15:24:00+02:00" }},
	{"a blood value moved by an hour", "moment-differs", "", func(b node) {
		res(b, "sample-1/haemoglobin/stated")["effectiveDateTime"] = "2031-05-03T12:00:00+02:00"
	}},
	{"a withheld value charted", "withheld-wrong", "03-term-duct-area-counted", func(b node) {
		r := res(b, stroke)
		delete(r, "dataAbsentReason")
		r["valueQuantity"] = node{"value": json.Number("4.1"), "unit": "mL", "system": "http://unitsofmeasure.org", "code": "mL"}
	}},
	{"a value withheld that may be charted", "withheld-wrong", "", func(b node) {
		r, from := res(b, stroke), at(res(parseOnce("03-term-duct-area-counted"), stroke), "dataAbsentReason")
		delete(r, "valueQuantity")
		r["dataAbsentReason"] = from
	}},
	{"test mark missing on one resource", "test-mark-differs", "", func(b node) { delete(res(b, weight), "meta") }},
	{"time of verification missing", "final-without-verifier", "", func(b node) { delete(res(b, flow), "issued") }},

	// Sense.
	{"a reading changed", "derived-value", "", func(b node) { number(res(b, second), "0.623") }},
	{"the weight changed", "derived-value", "", func(b node) { number(res(b, weight), "3.10") }},
	{"the index changed", "derived-value", "", func(b node) { number(res(b, perKg), "204") }},
	{"the spread changed", "derived-value", "", func(b node) { number(component(res(b, flow), "spread"), "3.8") }},
	{"the sodium changed", "derived-value", "", func(b node) { number(component(res(b, load), "sodium-given"), "1.2") }},
	{"a derived component left out", "derived-missing", "", func(b node) { r := res(b, flow); l := list(r, "component"); r["component"] = l[:len(l)-1] }},
	{"a derived value left out", "derived-missing", "", func(b node) { drop(b, stroke); unrefer(b) }},
	{"a derived value of no source", "derived-extra", "", func(b node) {
		r := res(b, load)
		extra := clone(component(r, "sodium-given"))
		at(extra, "code", "coding", 0)["code"] = "heparin-given"
		quantity(extra)["code"], quantity(extra)["unit"] = "[iU]", "[iU]"
		r["component"] = append(list(r, "component"), extra)
	}},
	{"another area formula", "derived-method", "", func(b node) {
		r := res(b, "session/body-surface-area/derived")
		for _, c := range list(at(r, "method"), "coding") {
			m := c.(node)
			switch m["code"] {
			case "haycock":
				m["code"] = "mosteller"
			case "122243":
				m["code"] = "122244"
			}
		}
	}},
	{"one source left out", "derived-sources", "", func(b node) { r := res(b, flow); r["derivedFrom"] = list(r, "derivedFrom")[1:] }},
	{"the conclusion reworded", "rewrite-differs", "", func(b node) { res(b, "report")["conclusion"] = "Cardiac output 0.61 L/min." }},
	{"the narrative of another value", "rewrite-differs", "", func(b node) {
		at(res(b, flow), "text")["div"] = `<div xmlns="http://www.w3.org/1999/xhtml">blood flow: 0.601 L/min</div>`
	}},
	{"a preliminary report called final", "rewrite-differs", "09-stale-echo", func(b node) { at(res(b, flow), "code")["text"] = "left ventricular output" }},

	// Reading back.
	{"a form that is not read", "bundle-shape", "", func(b node) {
		b["type"] = "batch"
	}},
	{"no panel", "panel-missing", "", func(b node) { drop(b, panel); unrefer(b) }},
	{"no Procedure", "session-incomplete", "", func(b node) { drop(b, "loop"); unrefer(b) }},
	{"two sessions", "session-several", "", func(b node) { at(res(b, weight), "identifier", 0)["value"] = "demo-2031-0002/" + weight }},
	{"an identity of no measure", "identity-unknown", "", func(b node) { at(res(b, weight), "identifier", 0)["value"] = "demo-2031-0001/session/mass/stated" }},
	{"an identity twice", "identity-repeated", "", func(b node) { at(res(b, stroke), "identifier", 0)["value"] = "demo-2031-0001/" + flow }},
	{"another subject on one resource", "patient-differs", "", func(b node) { at(res(b, weight), "subject")["reference"] = "Patient/9" }},
	{"an unknown component", "component-unknown", "", func(b node) {
		at(component(res(b, shunt), "ductal-state"), "code", "coding", 0)["code"] = "ductal-stat"
	}},
	{"a component twice", "component-twice", "", func(b node) {
		r := res(b, shunt)
		r["component"] = append(list(r, "component"), component(r, "ductal-state"))
	}},
	{"no value at all", "value-form", "", func(b node) { delete(res(b, weight), "valueQuantity") }},
	{"value of another form", "value-form", "", func(b node) { delete(res(b, perKg), "valueQuantity"); res(b, perKg)["valueString"] = "203" }},
	{"a unit of another dimension read", "value-unit", "", func(b node) { quantity(res(b, stroke))["code"] = "s" }},
	{"a variation that is no number", "schema-type", "", func(b node) { quantity(component(res(b, panel), "pooled-variation"))["value"] = "x" }},
	{"a coded value of no set", "value-unreadable", "", func(b node) {
		at(component(res(b, shunt), "ductal-state"), "valueCodeableConcept", "coding", 0)["code"] = "ajar"
	}},
	{"an absence of no reason", "reason-unknown", "03-term-duct-area-counted", func(b node) {
		for _, c := range list(at(res(b, stroke), "dataAbsentReason"), "coding") {
			if strings.HasSuffix(c.(node)["system"].(string), "/reasons") {
				c.(node)["code"] = "because"
			}
		}
	}},
	{"origin and identity disagree", "origin-disagrees", "", func(b node) {
		for _, e := range list(res(b, flow), "extension") {
			if strings.HasSuffix(e.(node)["url"].(string), "/origin") {
				e.(node)["valueCode"] = "stated"
			}
		}
	}},
	{"a reference to nothing read", "reference-unknown", "", func(b node) {
		at(res(b, flow), "derivedFrom", 0)["reference"] = "urn:uuid:00000000-0000-5000-8000-000000000000"
	}},
	{"a status that is never given", "status-unknown", "", func(b node) { res(b, flow)["status"] = "registered" }},
	{"two values read", "value-several", "", func(b node) { res(b, flow)["valueString"] = "0.610" }},

	// Base.
	{"no status", "element-missing", "", func(b node) { delete(res(b, flow), "status") }},
	{"no time of the provenance", "element-missing", "", func(b node) { delete(res(b, "Provenance"), "recorded") }},
	{"a status of no value set", "binding-required", "", func(b node) { res(b, flow)["status"] = "finished" }},
	{"two values", "choice-twice", "", func(b node) { res(b, flow)["valueString"] = "0.610 L/min" }},
	{"two values in a component", "choice-twice", "", func(b node) { component(res(b, flow), "spread")["valueString"] = "4" }},
	{"two times", "choice-twice", "", func(b node) { res(b, flow)["effectivePeriod"] = node{"start": "2031-05-03"} }},
	{"lists of two lengths", "field-list-length", "", func(b node) {
		d := at(res(b, "Device"), "deviceName", 0)
		_ = d
		e := res(b, "report")
		e["category"] = list(e, "category")
		at(res(b, "Provenance"))["policy"] = []any{"urn:x"}
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
	{"saturation by the near relation alone", "vital-sign-main-code", "", func(b node) { code(res(b, weight))["code"] = "3141-9"; delete(code(res(b, weight)), "display") }},
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

	// Bundle.
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

	// Shape.
	{"a value as text", "schema-type", "", func(b node) { res(b, flow)["valueQuantity"] = "0.61 L/min" }},
	{"a null in a list", "schema-null", "", func(b node) { r := res(b, flow); r["category"] = append(list(r, "category"), nil) }},
	{"no code", "schema-required", "", func(b node) { delete(res(b, flow), "code") }},
	{"an unknown element", "schema-unknown-element", "", func(b node) { res(b, flow)["valeu"] = "x" }},
	{"an empty text", "schema-empty", "", func(b node) { at(res(b, flow), "code")["text"] = "" }},
	{"an empty list", "schema-empty", "", func(b node) { at(res(b, flow), "code")["coding"] = []any{} }},
	{"an id of no form", "schema-pattern", "", func(b node) { res(b, "Provenance")["id"] = "a b" }},
	{"a verb of no set", "schema-enum", "", func(b node) { at(entry(b, weight), "request")["method"] = "SEND" }},
	{"dimensions nought", "schema-range", "27-with-traces", func(b node) {
		at(res(b, "injection-1/arterial-trace/reported"), "valueSampledData")["dimensions"] = json.Number("0")
	}},
	{"a control character", "schema-control-character", "", func(b node) { at(res(b, flow), "code")["text"] = "a\u0001b" }},
	{"a resource of no type", "schema-resource-type", "", func(b node) { res(b, weight)["resourceType"] = "Weight" }},
}
