package audit_test

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"saltmark/internal/audit"
)

const withCodings = "codings-05-preterm-foramen"

// siteCoding is a coding of the site as the golden has it.
func siteCoding(code, display string) string {
	return `{"system":"https://codes.hospital.example/flowsheet","code":"` + code + `","display":"` + display + `"}`
}

// A bundle with codings of a site proves itself without the settings; codings that no
// condition explains are found.
func TestCodingsOfASiteStandWhereAConditionExplainsThem(t *testing.T) {
	var compact bytes.Buffer
	if err := json.Compact(&compact, golden(t, withCodings)); err != nil {
		t.Fatal(err)
	}
	text := compact.String()
	if found := audit.Check("bundle.json", []byte(text), audit.Options{}); len(found) > 0 {
		t.Fatal(found[0].Text(true))
	}
	ours := func(code string) string {
		return `{"system":"https://saltmark.example/fhir/CodeSystem/measures","code":"` + code + `"}`
	}
	left, body := siteCoding("FLOW-LEFT", "output of the left ventricle"), siteCoding("FLOW-BODY", "blood flow to the body")
	for _, c := range []struct {
		name, from, to string
		want           string // rule; "" = nothing tells of it
	}{
		{"on a single injection", ours("blood-flow-of-one-injection"), ours("blood-flow-of-one-injection") + "," + left, "rewrite-differs"},
		{"before ours", ours("systemic-blood-flow") + "," + body, body + "," + ours("systemic-blood-flow"), "rewrite-differs"},
		{"on two measures", siteCoding("VOLUME-CENTRAL", "central blood volume"), body, "code-identity"},
		{"a code of the right ventricle", left, `{"system":"http://snomed.info/sct","code":"428628004"}`, "left-code-without-left-label"},
		{"a lesion without its SNOMED CT code", `"code":"204317008"`, `"code":"70142008"`, "rewrite-differs"},
		{"a Procedure without its SNOMED CT code", `{"system":"http://snomed.info/sct","code":"117610000","display":"Measurement of cardiac output (procedure)"},`, "", "rewrite-differs"},
		{"another code of the site", left, siteCoding("FLOW-OTHER", "output of the left ventricle"), ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			if !strings.Contains(text, c.from) {
				t.Fatalf("the golden has no %s", c.from)
			}
			changed := strings.Replace(text, c.from, c.to, 1)
			found := audit.Check("bundle.json", []byte(changed), audit.Options{})
			if c.want == "" && found.HasErrors() {
				t.Error(found[0].Text(true))
			}
			if c.want != "" && (!found.HasErrors() || found[0].Rule != c.want) {
				t.Errorf("%v, want %s", found, c.want)
			}
		})
	}
}
