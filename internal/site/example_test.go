package site

import (
	"testing"

	"saltmark/internal/finding"
	"saltmark/internal/source"
)

func TestAddressesForExamplesAreKnown(t *testing.T) {
	for address, want := range map[string]bool{
		"https://saltmark.example/fhir": true, "https://EXAMPLE.org": true, "https://a.example.com:8443/x": true,
		"urn:oid:2.999": true, "urn:oid:2.999.1": true,
		"urn:oid:2.9990.1": false, "https://example.org.hospital.test/x": false, "https://counterexample.org/x": false,
		"urn:uuid:0": false, "https://records.hospital.invalid/example": false,
	} {
		if got := forExamples(address); got != want {
			t.Errorf("%s: %v", address, got)
		}
	}
}

// Settings of a test may keep them, and the finding stands at the address.
func TestAddressesForExamplesAreToldInProduction(t *testing.T) {
	const file = `saltmark-site: 2
name: A hospital
environment: production
systems:
  patient: {system: "urn:oid:2.999.1", pattern: "P-[0-9]+"}
  encounter: https://saltmark.example/fhir/sid/demo-encounter
  person: urn:oid:1.2.3
`
	for _, c := range []struct {
		environment string
		lines       []int
	}{{"production", []int{5, 6}}, {"test", nil}} {
		doc, list := source.ReadYAML("site.yaml", []byte(file), source.SheetLimits())
		if len(list) > 0 {
			t.Fatal(list)
		}
		doc.Find("/environment").Text = c.environment
		r := reader{doc: doc, t: &Settings{Test: c.environment == "test"}}
		r.examples()
		if len(r.list) != len(c.lines) {
			t.Fatalf("%s: %v", c.environment, r.list)
		}
		for i, f := range r.list {
			if f.Severity != finding.Warning || f.Rule != "setting-example-address" || f.Place.Line != c.lines[i] {
				t.Errorf("%v", f)
			}
		}
	}
}
