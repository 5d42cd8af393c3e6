package r4_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/samply/golang-fhir-models/fhir-models/fhir"

	"saltmark/internal/r4"
)

const hour = "2031-04-02T14:30:00+02:00"

var (
	code   = r4.Concept("flow", r4.Coding("https://saltmark.example/measure", "flow", ""))
	toSelf = r4.ReferenceURN("2ed6657d-e927-568b-95e1-2665a8aea6a2")
)

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// smallest has one of every type that Encode takes, with what R4 requires in it.
func smallest() map[string]any {
	return map[string]any{
		"Observation":      fhir.Observation{Status: fhir.ObservationStatusFinal, Code: code},
		"Bundle":           fhir.Bundle{Type: fhir.BundleTypeTransaction},
		"DiagnosticReport": fhir.DiagnosticReport{Status: fhir.DiagnosticReportStatusPartial, Code: code},
		"Device":           fhir.Device{LotNumber: new("7")},
		"Procedure":        fhir.Procedure{Status: fhir.EventStatusCompleted, Subject: toSelf},
		"Provenance": fhir.Provenance{
			Target: []fhir.Reference{toSelf}, Recorded: hour, Agent: []fhir.ProvenanceAgent{{Who: toSelf}},
			Entity: []fhir.ProvenanceEntity{{Role: fhir.ProvenanceEntityRoleSource, What: toSelf}},
		},
		"Composition": fhir.Composition{
			Status: fhir.CompositionStatusFinal, Type: code, Date: hour, Author: []fhir.Reference{toSelf}, Title: "session",
		},
		"OperationOutcome": fhir.OperationOutcome{Issue: []fhir.OperationOutcomeIssue{{Severity: fhir.IssueSeverityError, Code: fhir.IssueTypeInvalid}}},
	}
}

const (
	wantCode = `{"coding":[{"system":"https://saltmark.example/measure","code":"flow"}],"text":"flow"}`
	wantSelf = `{"reference":"urn:uuid:2ed6657d-e927-568b-95e1-2665a8aea6a2"}`
)

func TestEveryTypeInUseIsWrittenWithItsNameFirst(t *testing.T) {
	want := map[string]string{
		"Observation":      `{"resourceType":"Observation","status":"final","code":` + wantCode + `}`,
		"Bundle":           `{"resourceType":"Bundle","type":"transaction"}`,
		"DiagnosticReport": `{"resourceType":"DiagnosticReport","status":"partial","code":` + wantCode + `}`,
		"Device":           `{"resourceType":"Device","lotNumber":"7"}`,
		"Procedure":        `{"resourceType":"Procedure","status":"completed","subject":` + wantSelf + `}`,
		"Provenance": `{"resourceType":"Provenance","target":[` + wantSelf + `],"recorded":"2031-04-02T14:30:00+02:00","agent":[{"who":` + wantSelf +
			`}],"entity":[{"role":"source","what":` + wantSelf + `}]}`,
		"Composition": `{"resourceType":"Composition","status":"final","type":` + wantCode + `,"date":"2031-04-02T14:30:00+02:00","author":[` + wantSelf +
			`],"title":"session"}`,
		"OperationOutcome": `{"resourceType":"OperationOutcome","issue":[{"severity":"error","code":"invalid"}]}`,
	}
	got := map[string]string{}
	for name, resource := range smallest() {
		got[name] = string(must(r4.Encode(resource)))
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestAnObservationOfEveryDataTypeIsWrittenToTheByte(t *testing.T) {
	id := must(r4.Identifier("https://hospital.example/sessions", "S-1/flow"))
	got := must(r4.Encode(fhir.Observation{
		Text:       must(r4.Line("Flow 0.610 L/min & more < 1")),
		Extension:  []fhir.Extension{{Url: "https://saltmark.example/x", ValueCodeableConcept: &code}},
		Identifier: []fhir.Identifier{id},
		Status:     fhir.ObservationStatusPreliminary,
		Code:       code,
		Subject:    &fhir.Reference{Reference: new("Patient?identifier=" + string(r4.AppendSearch(nil, *id.System+"|"+*id.Value))), Type: new("Patient")},
		Performer:  []fhir.Reference{r4.ReferenceLogical("Practitioner", id)},
		Device:     new(r4.ReferenceLiteral("Device", "d1")),

		EffectivePeriod: &fhir.Period{Start: new(hour), End: new("2031-04-02T14:31:00+02:00")},
		ValueSampledData: must(r4.SampledData(r4.Samples{
			Origin: must(r4.Quantity("0.00", "millimole per litre", "mmol/L")), PeriodMS: "10", Factor: "0.010", Data: "0 12 E",
		})),
		Note: []fhir.Annotation{{Text: "by hand"}},
	}))
	want := `{"resourceType":"Observation",` +
		`"text":{"status":"generated","div":"<div xmlns=\"http://www.w3.org/1999/xhtml\">Flow 0.610 L/min &amp; more &lt; 1</div>"},` +
		`"extension":[{"url":"https://saltmark.example/x","valueCodeableConcept":` + wantCode + `}],` +
		`"identifier":[{"system":"https://hospital.example/sessions","value":"S-1/flow"}],` +
		`"status":"preliminary","code":` + wantCode + `,` +
		`"subject":{"reference":"Patient?identifier=https%3A%2F%2Fhospital.example%2Fsessions%7CS-1%2Fflow","type":"Patient"},` +
		`"effectivePeriod":{"start":"2031-04-02T14:30:00+02:00","end":"2031-04-02T14:31:00+02:00"},` +
		`"performer":[{"type":"Practitioner","identifier":{"system":"https://hospital.example/sessions","value":"S-1/flow"}}],` +
		`"valueSampledData":{"origin":{"value":0.00,"unit":"millimole per litre","system":"http://unitsofmeasure.org","code":"mmol/L"},` +
		`"period":10,"factor":0.010,"dimensions":1,"data":"0 12 E"},` +
		`"note":[{"text":"by hand"}],"device":{"reference":"Device/d1"}}`
	if diff := cmp.Diff(want, string(got)); diff != "" {
		t.Error(diff)
	}
}

func TestBundleEntriesKeepTheBytesOfTheirResources(t *testing.T) {
	inner := must(r4.Encode(smallest()["Observation"]))
	got := string(must(r4.Encode(fhir.Bundle{
		Type: fhir.BundleTypeTransaction,
		Entry: []fhir.BundleEntry{{
			FullUrl: new("urn:uuid:x"), Resource: inner,
			Request: &fhir.BundleEntryRequest{Method: fhir.HTTPVerbPUT, Url: "Observation?a=1&b=<2>"},
		}},
	})))
	want := `{"resourceType":"Bundle","type":"transaction","entry":[{"fullUrl":"urn:uuid:x","resource":` + string(inner) +
		`,"request":{"method":"PUT","url":"Observation?a=1&b=<2>"}}]}`
	if got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

func TestAnElementWithoutContentIsRefused(t *testing.T) {
	for name, c := range map[string]struct {
		resource any
		says     string
	}{
		"required list left out":   {fhir.Provenance{Recorded: "2031"}, `member "target" is null`},
		"required struct left out": {fhir.Observation{}, `member "code" is an empty object`},
		"empty required list":      {fhir.OperationOutcome{Issue: []fhir.OperationOutcomeIssue{}}, `member "issue" is an empty list`},
		"empty text":               {fhir.Device{LotNumber: new("")}, `member "lotNumber" is an empty text`},
		"both of a choice":         {fhir.Composition{Type: code, Date: "2031", Title: "t", Author: []fhir.Reference{toSelf}, RelatesTo: []fhir.CompositionRelatesTo{{TargetReference: toSelf}}}, `"targetIdentifier" is an empty object`},
	} {
		if got, err := r4.Encode(c.resource); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %s, %v; want an error with %s", name, got, err, c.says)
		}
	}
	tricky := fhir.Device{LotNumber: new(`null {} [] "" \`), SerialNumber: new(`\"`)}
	if got, err := r4.Encode(tricky); err != nil {
		t.Errorf("%s: %v; want no error: only text looks empty there", got, err)
	}
}

func TestWhatIsNotInUseIsRefused(t *testing.T) {
	for _, resource := range []any{nil, fhir.Medication{}, &fhir.Observation{}, "Observation", fhir.Observation{ValueQuantity: &fhir.Quantity{Value: new(json.Number("x"))}}} {
		if got, err := r4.Encode(resource); err == nil {
			t.Errorf("%T was written: %s", resource, got)
		}
	}
}

// TestNoOtherRoomMakesANumber reads the program's source: an empty json.Number is
// written as 0, so one is made of text here, and in the two rooms that carry trees,
// alone.
func TestNoOtherRoomMakesANumber(t *testing.T) {
	made := regexp.MustCompile(`json\.Number\(`)
	rooms, err := filepath.Glob("../../*/*")
	if err != nil {
		t.Fatal(err)
	}
	for _, room := range rooms {
		if name := filepath.Base(room); name == "r4" || name == "source" || name == "schema" {
			continue
		}
		_ = filepath.Walk(room, func(path string, info os.FileInfo, err error) error {
			if err != nil || info.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return err
			}
			if text, err := os.ReadFile(path); err != nil || made.Match(text) {
				t.Errorf("%s makes a json.Number (%v); r4.Number does", path, err)
			}
			return nil
		})
	}
}

// BenchmarkEncode compares the encoder with the models' own way.
func BenchmarkEncode(b *testing.B) {
	o := fhir.Observation{
		Text: must(r4.Line("Flow 0.610 L/min")), Status: fhir.ObservationStatusFinal, Code: code,
		Category: []fhir.CodeableConcept{code}, Subject: &toSelf, EffectiveDateTime: new(hour),
		ValueQuantity: must(r4.Quantity("0.610", "litre per minute", "L/min")), Method: &code, DerivedFrom: []fhir.Reference{toSelf, toSelf},
		Component: []fhir.ObservationComponent{{Code: code, ValueQuantity: must(r4.Quantity("2.5", "millilitre", "mL"))}},
	}
	b.Run("Encode", func(b *testing.B) {
		for b.Loop() {
			must(r4.Encode(o))
		}
	})
	b.Run("model's own", func(b *testing.B) {
		for b.Loop() {
			must(json.Marshal(o))
		}
	})
}
