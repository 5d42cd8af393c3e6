package audit_test

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"saltmark/internal/audit"
	"saltmark/internal/finding"
	"saltmark/internal/terms"
)

// vitalCodes gives the LOINC codes that demand a vital-signs profile.
func vitalCodes(t *testing.T) []terms.Vital {
	t.Helper()
	text, err := os.ReadFile("../terms/vitalsigns.tsv")
	if err != nil {
		t.Fatal(err)
	}
	var all []terms.Vital
	for line := range strings.Lines(string(text)) {
		code, _, _ := strings.Cut(line, "\t")
		if v, known := terms.VitalSign(code); known {
			all = append(all, v)
		}
	}
	if len(all) < 80 {
		t.Fatalf("%d codes of vital signs", len(all))
	}
	return all
}

// vitalSign gives a good Observation of a vital sign.
func vitalSign(v terms.Vital) node {
	coding := []any{node{"system": "http://loinc.org", "code": v.Code}}
	if v.Main != v.Code {
		coding = append(coding, node{"system": "http://loinc.org", "code": v.Main})
	}
	n := node{
		"resourceType": "Observation", "status": "final", "code": node{"coding": coding}, "effectiveDateTime": "2031-05-03T14:30:00+02:00",
		"category": []any{code1("http://terminology.hl7.org/CodeSystem/observation-category", "vital-signs")},
		"subject":  node{"reference": "Patient/1"},
		"text":     node{"status": "generated", "div": `<div xmlns="http://www.w3.org/1999/xhtml">x</div>`},
	}
	switch {
	case strings.HasSuffix(v.Profile, "/vitalspanel"):
		n["hasMember"] = []any{node{"reference": "Observation/1"}}
	case strings.HasSuffix(v.Profile, "/bp"):
		n["component"] = []any{pressure("8480-6", 78), pressure("8462-4", 44)}
	default:
		n["valueQuantity"] = quantityIn(v.Units[0], 40)
	}
	return n
}

func pressure(code string, value int) node {
	return node{"code": code1("http://loinc.org", code), "valueQuantity": quantityIn("mm[Hg]", value)}
}

func quantityIn(unit string, value int) node {
	return node{"value": value, "unit": unit, "system": "http://unitsofmeasure.org", "code": unit}
}

// spokenOf gives the rules that speak of a resource, informations apart.
func spokenOf(t *testing.T, n node) string {
	t.Helper()
	var rules []string
	for _, f := range audit.Check("vital.json", format(t, n), audit.Options{}) {
		if f.Severity != finding.Info {
			rules = append(rules, f.Rule)
		}
	}
	return strings.Join(rules, " ")
}

func TestEveryCodeOfAVitalSignDemandsItsProfile(t *testing.T) {
	for _, v := range vitalCodes(t) {
		for _, row := range []struct {
			rule   string
			change func(n node)
		}{
			{"", func(node) {}},
			{"vital-sign-category", func(n node) { delete(n, "category") }},
			{"vital-sign-incomplete", func(n node) { delete(n, "subject") }},
			{"vital-sign-incomplete", func(n node) { delete(n, "effectiveDateTime") }},
			{"vital-sign-incomplete", func(n node) { n["effectiveDateTime"] = "2031-05" }},
			{"vital-sign-members", func(n node) { n["subject"] = node{"reference": "Group/1"} }},
		} {
			n := vitalSign(v)
			row.change(n)
			want := row.rule
			if main, _ := terms.VitalSign(v.Main); !v.ByEngine && !main.ByEngine { // binds only what this program wrote
				want = ""
			}
			if got := spokenOf(t, n); got != want {
				t.Errorf("LOINC %s: %q speaks, %q is meant", v.Code, got, want)
			}
		}
	}
}

func TestEveryVitalSignHasItsUnitsAndNoOther(t *testing.T) {
	for _, v := range vitalCodes(t) {
		n := vitalSign(v)
		if !v.ByEngine || n["valueQuantity"] == nil {
			continue
		}
		for _, unit := range v.Units {
			n["valueQuantity"] = quantityIn(unit, 40)
			if got := spokenOf(t, n); got != "" {
				t.Errorf("LOINC %s in %s: %q", v.Code, unit, got)
			}
		}
		for _, change := range []struct {
			rule string
			now  any
		}{
			{"vital-sign-unit", quantityIn("mol", 40)},
			{"vital-sign-value", node{"value": 40, "system": "http://unitsofmeasure.org", "code": v.Units[0]}},
		} {
			n["valueQuantity"] = change.now
			if got := spokenOf(t, n); !strings.Contains(got, change.rule) {
				t.Errorf("LOINC %s with %s: %q speaks, %s is meant", v.Code, fmt.Sprint(change.now), got, change.rule)
			}
		}
	}
}

func TestANearRelationOfAVitalSignWantsItsCodeBeside(t *testing.T) {
	for _, v := range vitalCodes(t) {
		if v.Main == v.Code || !v.ByEngine {
			continue
		}
		n := vitalSign(v)
		n["code"] = code1("http://loinc.org", v.Code)
		if got := spokenOf(t, n); got != "vital-sign-main-code" {
			t.Errorf("LOINC %s alone: %q", v.Code, got)
		}
	}
}
