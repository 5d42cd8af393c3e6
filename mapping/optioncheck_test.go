package mapping_test

import (
	"strings"
	"testing"

	"saltmark/mapping"
	"saltmark/mapping/record"
)

func TestOptionsThatContradictEachOtherAreRefused(t *testing.T) {
	for _, test := range []struct {
		name    string
		options mapping.Options
		says    []string // none: it is good
	}{
		{"nothing said", mapping.Options{}, nil},
		{"all that goes without saying", mapping.Options{Form: mapping.Transaction, Mode: mapping.Conditional, Subject: mapping.Search, Encounter: mapping.Logical}, nil},
		{"an encounter left out", mapping.Options{Encounter: mapping.None}, nil},
		{"no such form", mapping.Options{Form: "batch"}, []string{`"batch"`, "transaction"}},
		{"no such mode", mapping.Options{Mode: "upsert"}, []string{`"upsert"`, "conditional"}},
		{"a patient left out", mapping.Options{Subject: mapping.None}, []string{"subject", `"none"`, "search, logical, literal"}},
		{"no such encounter", mapping.Options{Encounter: "contained"}, []string{"encounter", `"contained"`}},
	} {
		t.Run(test.name, func(t *testing.T) {
			err := test.options.Check()
			if (err == nil) != (test.says == nil) {
				t.Fatal(err)
			}
			for _, word := range test.says {
				if !strings.Contains(err.Error(), word) {
					t.Errorf("%v does not say %s", err, word)
				}
			}
		})
	}
}

func TestReferenceModesSayHowPatientAndEncounterAreReferredTo(t *testing.T) {
	const patients, encounters = "https://hospital.example/patients", "https://hospital.example/encounters"
	byIdentifier, literally := settled(t, plain(), nil), settled(t, plain(), nil)
	byIdentifier.Patient = record.Reference{System: patients, Value: "P 1"}
	byIdentifier.Encounter = record.Reference{System: encounters, Value: "E1"}
	literally.Patient, literally.Encounter = record.Reference{Literal: "Patient/9"}, record.Reference{Literal: "Encounter/9"}
	logical := func(system, value string) string { return "=" + system + "|" + value }
	for _, test := range []struct {
		name               string
		session            *record.Session
		options            mapping.Options
		subject, encounter string
	}{
		{"what goes without saying", byIdentifier, mapping.Options{}, "Patient?identifier=https%3A%2F%2Fhospital.example%2Fpatients%7CP%201", logical(encounters, "E1")},
		{"logical", byIdentifier, mapping.Options{Subject: mapping.Logical, Encounter: mapping.Logical}, logical(patients, "P 1"), logical(encounters, "E1")},
		{"search", byIdentifier, mapping.Options{Encounter: mapping.Search}, "Patient?identifier=https%3A%2F%2Fhospital.example%2Fpatients%7CP%201", "Encounter?identifier=https%3A%2F%2Fhospital.example%2Fencounters%7CE1"},
		{"the encounter left out", byIdentifier, mapping.Options{Subject: mapping.Logical, Encounter: mapping.None}, logical(patients, "P 1"), ""},
		{"literal", literally, mapping.Options{Subject: mapping.Literal, Encounter: mapping.Literal}, "Patient/9", "Encounter/9"},
		{"stated literally, whatever the options say", literally, mapping.Options{}, "Patient/9", "Encounter/9"},
	} {
		t.Run(test.name, func(t *testing.T) {
			for _, e := range entriesOf(t, write(t, test.session, test.options)) {
				for member, want := range map[string]string{"subject": test.subject, "encounter": test.encounter} {
					if got := referred(e.Resource[member]); got != "" && got != want || got == "" && want != "" && e.Resource["resourceType"] == "Observation" {
						t.Fatalf("%s of %v is %q, want %q", member, e.Resource["identifier"], got, want)
					}
				}
			}
		})
	}
}

// referred gives what a reference names: its address, or "=" and its identifier.
func referred(reference any) string {
	r, _ := reference.(map[string]any)
	if literal, ok := r["reference"].(string); ok {
		return literal
	}
	id, ok := r["identifier"].(map[string]any)
	if !ok {
		return ""
	}
	return "=" + id["system"].(string) + "|" + id["value"].(string)
}

func TestALiteralReferenceThatTheSessionLacksIsAnError(t *testing.T) {
	for _, o := range []mapping.Options{{Subject: mapping.Literal}, {Encounter: mapping.Literal}} {
		s := settled(t, plain(), nil)
		s.Patient, s.Encounter = record.Reference{System: "https://hospital.example/patients", Value: "P1"}, record.Reference{System: "https://hospital.example/encounters", Value: "E1"}
		if text, err := mapping.Write(s, o); err == nil || text != nil || !strings.Contains(err.Error(), "literal reference") || strings.Contains(err.Error(), "P1") {
			t.Errorf("%+v: %v", o, err)
		}
	}
}
