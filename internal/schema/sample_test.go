package schema

import (
	"fmt"
	"strings"
	"testing"

	"saltmark/internal/finding"
	"saltmark/internal/source"
)

// read gives the document of a JSON text.
func read(t testing.TB, text string) *source.Document {
	t.Helper()
	doc, faults := source.ReadJSON("test.json", []byte(text), source.ResourceLimits())
	if faults.HasErrors() {
		t.Fatalf("%s\nin %.200s", faults[0].Text(true), text)
	}
	return doc
}

// lines gives each finding as rule, pointer and sentence.
func lines(list finding.List) string {
	var b strings.Builder
	for _, f := range list {
		fmt.Fprintf(&b, "%s %s: %s\n", f.Rule, f.Place.Pointer, f.Sentence(true))
	}
	return b.String()
}

// observation is one of the shape that saltmark writes; all of it is invented.
func observation(i int) string {
	const concept = `{"coding":[{"system":"https://saltmark.example/fhir/CodeSystem/%s","code":"%s","display":"%s"}],"text":"%s"}`
	c := func(system, code, words string) string { return fmt.Sprintf(concept, system, code, words, words) }
	return `{"resourceType":"Observation",` +
		`"text":{"status":"generated","div":"<div xmlns=\"http://www.w3.org/1999/xhtml\">Blood flow at 14:30: 0.61 L/min</div>"},` +
		`"extension":[{"url":"https://saltmark.example/fhir/StructureDefinition/flow-stands-for","valueCodeableConcept":` + c("flow", "systemic", "blood flow to the body") + `}],` +
		fmt.Sprintf(`"identifier":[{"system":"https://hospital.example/sessions","value":"S-2031-7/flow-%d"}],`, i) +
		`"partOf":[{"reference":"urn:uuid:0b1e9d0e-55a5-5b6c-8d4f-6d7c3c3d2f10"}],"status":"preliminary",` +
		`"category":[` + c("category", "procedure", "Procedure") + `],"code":` + c("measure", "blood-flow", "Blood flow") + `,` +
		`"subject":{"reference":"Patient?identifier=https%3A%2F%2Fhospital.example%2Fpatients%7C4711","type":"Patient"},` +
		fmt.Sprintf(`"effectiveDateTime":"2031-04-02T14:%02d:00+02:00",`, i%60) +
		`"performer":[{"type":"Practitioner","identifier":{"system":"https://hospital.example/staff","value":"77"},"display":"Operator"}],` +
		fmt.Sprintf(`"valueQuantity":{"value":0.%03d,"unit":"litre per minute","system":"http://unitsofmeasure.org","code":"L/min"},`, i+600) +
		`"method":` + c("method", "dilution", "Indicator dilution") + `,"device":{"reference":"urn:uuid:0b1e9d0e-55a5-5b6c-8d4f-6d7c3c3d2f11"},` +
		`"derivedFrom":[{"reference":"urn:uuid:0b1e9d0e-55a5-5b6c-8d4f-6d7c3c3d2f12"}],` +
		`"component":[{"code":` + c("measure", "indicator-volume", "Indicator volume") + `,"valueQuantity":{"value":2.5,"unit":"millilitre","system":"http://unitsofmeasure.org","code":"mL"}}]}`
}

// bundle is a transaction of n Observations; fifty have about 90 kB.
func bundle(n int) string {
	entries := make([]string, n)
	for i := range entries {
		entries[i] = fmt.Sprintf(`{"fullUrl":"urn:uuid:2ed6657d-e927-568b-95e1-2665a8ae%04x","resource":%s,"request":{"method":"PUT",`+
			`"url":"Observation?identifier=https%%3A%%2F%%2Fhospital.example%%2Fsessions%%7CS-2031-7%%2Fflow-%d"}}`, i, observation(i), i)
	}
	return `{"resourceType":"Bundle","type":"transaction","entry":[` + strings.Join(entries, ",") + `]}`
}

// good has one resource of each type of the cut, and some shapes that R4 allows and
// a hasty schema refuses.
var good = map[string]string{
	"Observation":                 observation(0),
	"Bundle":                      bundle(2),
	"DiagnosticReport":            `{"resourceType":"DiagnosticReport","status":"partial","code":{"text":"c"},"presentedForm":[{"contentType":"text/plain","data":"YWJj"}]}`,
	"Device":                      `{"resourceType":"Device","deviceName":[{"name":"m","type":"model-name"}],"version":[{"value":"1"}]}`,
	"Procedure":                   `{"resourceType":"Procedure","status":"completed","subject":{"display":"s"},"performedPeriod":{"start":"2031-04-02"}}`,
	"Provenance":                  `{"resourceType":"Provenance","target":[{"reference":"a"}],"recorded":"2031-04-02T14:30:00Z","agent":[{"who":{"display":"w"}}]}`,
	"Composition":                 `{"resourceType":"Composition","status":"final","type":{"text":"t"},"date":"2031","author":[{"display":"a"}],"title":"t"}`,
	"Patient":                     `{"resourceType":"Patient","birthDate":"2031-02","name":[{"given":["a"]}],"multipleBirthInteger":2}`,
	"Encounter":                   `{"resourceType":"Encounter","status":"finished","class":{"code":"IMP"}}`,
	"Practitioner":                `{"resourceType":"Practitioner","active":true}`,
	"OperationOutcome":            `{"resourceType":"OperationOutcome","issue":[{"severity":"error","code":"invalid"}]}`,
	"null beside its twin":        `{"resourceType":"Patient","name":[{"given":["a",null],"_given":[null,{"extension":[{"url":"urn:x","valueCode":"y"}]}]}]}`,
	"primitive by its twin alone": `{"resourceType":"Patient","_birthDate":{"extension":[{"url":"urn:x","valueCode":"unknown"}]}}`,
	"contained":                   `{"resourceType":"Procedure","status":"completed","subject":{"reference":"#p"},"contained":[{"resourceType":"Patient","id":"p"}]}`,
	"empty bundle":                `{"resourceType":"Bundle","type":"collection"}`,
	"response": `{"resourceType":"Bundle","type":"transaction-response","entry":[{"response":{"status":"200",
		"outcome":{"resourceType":"OperationOutcome","issue":[{"severity":"warning","code":"informational"}]}}}]}`,
	"decimal with exponent": `{"resourceType":"Observation","status":"final","code":{"text":"c"},"valueQuantity":{"value":1.50e-3}}`,
	"events of a timing":    `{"resourceType":"Observation","status":"final","code":{"text":"c"},"effectiveTiming":{"event":["2031"],"repeat":{"when":["MORN"],"timeOfDay":["08:00:00"]}}}`,
}

// mutateAll spoils every entry.
func mutateAll(text string) string {
	return strings.ReplaceAll(text, `"status":"preliminary"`, `"status":"prelim"`)
}
