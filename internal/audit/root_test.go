package audit_test

import (
	"strings"
	"testing"

	"saltmark/internal/audit"
	"saltmark/internal/report"
	"saltmark/internal/source"
	"saltmark/mapping"
)

// What a finding is about is named as FHIR names it, of a broken text too.
func TestFindingsOfABrokenTextNameTheElement(t *testing.T) {
	for _, c := range []struct{ name, text, rule, want string }{
		{"a key twice", `{"resourceType":"Bundle","type":"collection","entry":[{"resource":{"resourceType":"Observation","status":"final","status":"final"}}]}`, "duplicate-key", "Bundle.entry[0].resource.status"},
		{"a key twice before the type", `{"status":"final","status":"final","resourceType":"Observation"}`, "duplicate-key", "Observation.status"},
		{"no comma", `{"resourceType":"Patient","name":[{"family":"x" "given":["y"]}]}`, "syntax", "Patient.name[0]"},
		{"cut short", `{"resourceType":"Observation","valueQuantity":{"value":`, "syntax", "Observation.value.value"},
		{"a number of other notations", `{"resourceType":"Observation","valueQuantity":{"value":.5}}`, "number-form", "Observation.value.value"},
		{"a number past all bounds", `{"resourceType":"Observation","valueQuantity":{"value":1e999}}`, "number-size", "Observation.value.value"},
		{"Latin-1", "{\"resourceType\":\"Patient\",\"name\":[{\"family\":\"M\xfcller\"}]}", "text-encoding", "Patient.name[0].family"},
		{"more behind it", `{"resourceType":"Observation"} {}`, "one-document", "Observation"},
		{"the type not reached", `{"status":,"resourceType":"Observation"}`, "syntax", ""},
		{"a type that is none", `{"resourceType":"Ada Lovelace","status":"x","status":"y"}`, "duplicate-key", ""},
	} {
		found := audit.Check("r.json", []byte(c.text), audit.Options{})
		if len(found) != 1 || found[0].Rule != c.rule {
			t.Errorf("%s: %v", c.name, found)
			continue
		}
		if got := report.Expression(found[0]); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

func TestFindingsOfLinesNameTheElementOfTheirLine(t *testing.T) {
	text := `{"resourceType":"Patient","id":"a","active":true,"active":true}` + "\n" + `{"resourceType":"Observation","id":"a"}` + "\n" + `{"resourceType":"Observation","id":"a"}`
	var got []string
	var held audit.Lines
	for lines, err := range mapping.Gather(source.Lines("l.ndjson", strings.NewReader(text), source.ResourceLimits()), 1<<20) {
		if err != nil {
			t.Fatal(err)
		}
		found := audit.CheckLines(lines, audit.Options{})
		for _, l := range lines {
			found = append(found, held.Repeated(l.Document)...)
		}
		for _, f := range found {
			if f.Rule == "duplicate-key" || f.Rule == "line-twice" {
				got = append(got, f.Rule+" "+report.Expression(f))
			}
		}
	}
	if s := strings.Join(got, ", "); s != "duplicate-key Patient.active, line-twice Observation.id" {
		t.Error(s)
	}
}
