package audit_test

import "encoding/json"

// Bundles that claim national profiles.
const (
	claiming          = "national/01-plain-infant"
	claimingWithDuct  = "national/03-term-duct-area-counted"
	claimingUnchecked = "national/02-minimal"
	outputProfile     = "https://gematik.de/fhir/isik/StructureDefinition/sd-mii-icu-linksventri-herzzeitvolumen-durch-indikatorverd"
)

func claim(r node, canonical string) {
	at(r, "meta")["profile"] = append(list(at(r, "meta"), "profile"), canonical)
}

// nationalOff takes the claim of a national profile off, and leaves ours.
func nationalOff(r node) { at(r, "meta")["profile"] = list(at(r, "meta"), "profile")[:1] }

func slipClaiming(b node, change func(r node)) {
	r := node{
		"resourceType": "Observation", "meta": node{"profile": []any{outputProfile}}, "status": "final", "subject": node{"reference": "Patient/1"},
		"category":          []any{node{"coding": []any{node{"system": "http://terminology.hl7.org/CodeSystem/observation-category", "code": "vital-signs"}}}},
		"code":              code1("http://loinc.org", "8737-9"),
		"effectiveDateTime": "2031-05-03T14:30:00+02:00",
		"valueQuantity":     node{"value": json.Number("0.6"), "unit": "liter per minute", "system": "http://unitsofmeasure.org", "code": "L/min"},
	}
	change(r)
	slip(b, r)
}

// nationalMutations change what claims a national profile, ours and what others wrote.
var nationalMutations = []mutation{
	{"a claim without the category of vital signs", "national-profile-broken", claiming, func(b node) {
		r := res(b, flow)
		r["category"] = list(r, "category")[:1]
	}},
	{"a claim with the category of vital signs twice", "national-profile-broken", claiming, func(b node) {
		r := res(b, flow)
		r["category"] = append(list(r, "category"), clone(at(r, "category", 1)))
	}},
	{"a unit in other words than the profile fixes", "national-profile-broken", claiming, func(b node) { quantity(res(b, stroke))["unit"] = "mL" }},
	{"a code of SNOMED CT beside that of the profile", "national-profile-broken", claiming, func(b node) {
		c := at(res(b, flow), "code")
		c["coding"] = append(list(c, "coding"), node{"system": "http://snomed.info/sct", "code": "82799009"})
	}},
	{"a coded component under a claim", "national-profile-broken", claiming, func(b node) {
		r := res(b, stroke)
		r["component"] = []any{node{
			"code":                 code1("https://saltmark.example/fhir/CodeSystem/measures", "origin"),
			"valueCodeableConcept": code1("https://saltmark.example/fhir/CodeSystem/values", "derived"),
		}}
	}},
	{"a claim on what another made, without its LOINC code", "national-profile-broken", claiming, func(b node) {
		slipClaiming(b, func(r node) { r["code"] = code1("http://loinc.org", "8741-1") })
	}},
	{"a claim on what another made, without a time", "national-profile-broken", claiming, func(b node) {
		slipClaiming(b, func(r node) { delete(r, "effectiveDateTime") })
	}},
	{"a claim on what another made, in another unit", "national-profile-broken", claiming, func(b node) {
		slipClaiming(b, func(r node) { quantity(r)["code"] = "mL/min" })
	}},
	{"a claim on what another made, withheld", "national-profile-broken", claiming, func(b node) {
		slipClaiming(b, func(r node) {
			delete(r, "valueQuantity")
			r["dataAbsentReason"] = code1("http://terminology.hl7.org/CodeSystem/data-absent-reason", "unknown")
		})
	}},
	{"a claim on what another made, part of a drug given", "national-profile-broken", claiming, func(b node) {
		slipClaiming(b, func(r node) { r["partOf"] = []any{node{"reference": res1(b, "report")}} })
	}},
	{"a claim of our profile without the label that it demands", "profile-broken", "", func(b node) {
		r := res(b, flow)
		r["extension"] = list(r, "extension")[1:]
	}},
	{"our profile claimed on a resource of another type", "profile-broken", "", func(b node) { claim(res(b, "report"), "https://saltmark.example/fhir/StructureDefinition/flow") }},
	{"a claim taken off a final value", "national-profile-claim", claiming, func(b node) { nationalOff(res(b, flow)) }},
	{"a claim on a preliminary value", "national-profile-claim", claimingUnchecked, func(b node) { claim(res(b, flow), outputProfile) }},
	{"a claim on the flow to the body beside a duct", "national-profile-claim", claimingWithDuct, func(b node) { claim(res(b, flow), outputProfile) }},
	{"a claim that no setting asks for", "national-profile-claim", "", func(b node) { claim(res(b, flow), outputProfile) }},
}

// res1 gives the address of a resource in the bundle.
func res1(b node, name string) any { return entry(b, name)["fullUrl"] }
