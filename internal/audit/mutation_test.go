package audit_test

import (
	"crypto/sha1"
	"encoding/base64"
	"encoding/json"
	"slices"
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

// present adds a picture to a report, as this program would.
func present(report node, content string) {
	svg := []byte(`<svg xmlns="http://www.w3.org/2000/svg">` + content + `</svg>`)
	sum := sha1.Sum(svg)
	report["presentedForm"] = append(list(report, "presentedForm"), node{
		"contentType": "image/svg+xml", "language": "en", "data": base64.StdEncoding.EncodeToString(svg),
		"size": len(svg), "hash": base64.StdEncoding.EncodeToString(sum[:]), "title": "Report with the recorded curves",
	})
}

func quantity(r node) node { return at(r, "valueQuantity") }

func number(r node, n string) { quantity(r)["value"] = json.Number(n) }

func code(r node) node { return at(r, "code", "coding", 0) }

// mutations are all of them.
var mutations = slices.Concat(meaningMutations, readingMutations, baseMutations, bundleMutations, shapeMutations, formMutations, curveMutations, nationalMutations)

// meaningMutations change what a bundle says of its session.
var meaningMutations = []mutation{
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
	{"a flow without a label slipped in", "flow-without-label", "", func(b node) {
		slip(b, node{"resourceType": "Observation", "status": "final", "code": code1("http://loinc.org", "8737-9"), "subject": node{"reference": "Patient/1"}})
	}},
	{"a held session released", "status-wrong", "09-stale-echo", func(b node) {
		for _, e := range list(b, "entry") {
			if r := at(e, "resource"); r["status"] == "preliminary" {
				r["status"], r["issued"] = "final", "2031-05-03T14:55:00+02:00"
			}
		}
	}},
	{"one value of a verified session preliminary", "status-wrong", "", func(b node) { res(b, load)["status"] = "preliminary" }},
	{"a report amended after its session was withdrawn", "status-wrong", "series-4-withdrawn", func(b node) { res(b, "report")["status"] = "amended" }},
	{"a value that survives its session", "status-wrong", "series-4-withdrawn", func(b node) { res(b, flow)["status"] = "corrected" }},
	{"a value taken back in error, of a session never measured", "status-wrong", "29-never-measured", func(b node) { res(b, weight)["status"] = "entered-in-error" }},
	{"a recording that goes on", "recording-span", "27-with-traces", func(b node) {
		at(res(b, "injection-1/arterial-trace/reported"), "effectivePeriod")["end"] = "2031-06-12T15:24:30+02:00"
	}},
	{"samples closer together", "recording-span", "27-with-traces", func(b node) {
		at(res(b, "injection-1/venous-trace/reported"), "valueSampledData")["period"] = json.Number("60")
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

	// What stands alone, so that only the digest of the facts tells.
	{"a volume that nothing is made of changed", "digest-differs", "", func(b node) { number(component(res(b, panel), "prime-volume"), "61") }},
	{"a device of another name", "digest-differs", "", func(b node) { at(res(b, "Device"), "deviceName", 0)["name"] = "m2" }},
	{"the hash of the sheet exchanged", "digest-differs", "", func(b node) {
		id := at(res(b, "Provenance"), "entity", 0, "what", "identifier")
		id["value"] = strings.Repeat("0", 64)
	}},
	{"the hash of the sheet taken out", "digest-differs", "", func(b node) {
		p := res(b, "Provenance")
		p["entity"] = list(p, "entity")[1:]
	}},
	{"samples cut from a curve", "digest-differs", withTraces, func(b node) {
		samples := at(res(b, "injection-1/arterial-trace/reported"), "valueSampledData")
		samples["data"] = samples["data"].(string)[:len(samples["data"].(string))-20]
	}},
	{"the digest damaged", "digest-differs", "", func(b node) {
		entities := list(res(b, "Provenance"), "entity")
		at(entities[len(entities)-1], "what", "identifier")["value"] = strings.Repeat("0", 64)
	}},

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
	{"a code in the words of another language", "language-mixed", "", func(b node) {
		at(component(res(b, flow), "agreement"), "code")["text"] = "Übereinstimmung der Injektionen"
	}},
	{"a report that names another language than its bundle is in", "language-mixed", "", func(b node) { res(b, "report")["language"] = "de" }},
	{"a report in a language that is not spoken here", "language-unknown", "", func(b node) { res(b, "report")["language"] = "fr" }},
	{"the picture of another session", "picture-differs", "", func(b node) { present(res(b, "report"), "<desc>Session demo-2031-0002</desc>") }},
	{"a picture with a script", "picture-unsafe", "", func(b node) {
		present(res(b, "report"), "<desc>"+res(b, "report")["conclusion"].(string)+"</desc><script>x</script>")
	}},
	{"a picture that was damaged", "attachment-differs", "", func(b node) {
		r := res(b, "report")
		present(r, "<desc>"+r["conclusion"].(string)+"</desc>")
		at(r, "presentedForm", 1)["data"] = base64.StdEncoding.EncodeToString([]byte(`<svg xmlns="http://www.w3.org/2000/svg"><desc>` + r["conclusion"].(string) + `</desc><rect/></svg>`))
	}},
	{"a code in other words", "rewrite-differs", "09-stale-echo", func(b node) { at(res(b, flow), "code")["text"] = "left ventricular output" }},
}

// readingMutations leave something that cannot be read back.
var readingMutations = []mutation{
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
}
