package site_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saltmark/internal/finding"
	"saltmark/mapping"
)

const flowsheet = "https://codes.hospital.example/flowsheet"

// withCodings gives the demo settings with a section of codings.
func withCodings(t *testing.T, section string) string { return demoText(t) + "codings:\n" + section }

func TestASiteAddsItsOwnCodings(t *testing.T) {
	settings, list := read(withCodings(t, `
  blood-flow:
    - {system: https://codes.hospital.example/flowsheet, code: FLOW-BODY, display: blood flow to the body, when: Qs}
  haemoglobin:
    - {system: https://codes.hospital.example/flowsheet, code: "0815"}
`))
	if len(list) > 0 {
		t.Fatal(list)
	}
	want := map[string][]mapping.Coding{
		"blood-flow":  {{System: flowsheet, Code: "FLOW-BODY", Display: "blood flow to the body", When: "Qs"}},
		"haemoglobin": {{System: flowsheet, Code: "0815"}},
	}
	if diff := cmp.Diff(want, settings.Mapping().Codings); diff != "" {
		t.Error(diff)
	}
}

func TestABadCodingIsToldWhereItStands(t *testing.T) {
	for _, c := range []struct {
		name, section string
		rule, says    string
	}{
		{"no such measure", "  blod-flow:\n    - {system: https://a.example, code: A, when: Qs}\n", "setting-coding", `did you mean "blood-flow"?`},
		{"no condition on a flow", "  blood-flow:\n    - {system: https://a.example, code: A}\n", "setting-coding", "codings.blood-flow.0"},
		{"no such condition", "  blood-flow:\n    - {system: https://a.example, code: A, when: left}\n", "schema-enum", ""},
		{"the left ventricle on another measure", "  oxygen-delivery:\n    - {system: http://loinc.org, code: 8737-9}\n", "setting-coding", "the table of measures has this code, for blood-flow"},
		{"one code twice", "  haemoglobin:\n    - {system: https://a.example, code: A}\n  haematocrit:\n    - {system: https://a.example, code: A}\n", "setting-coding", "stands at codings.haemoglobin.0 already"},
		{"a system that is no address", "  haemoglobin:\n    - {system: flowsheet, code: A}\n", "schema-pattern", ""},
		{"no code", "  haemoglobin:\n    - {system: https://a.example}\n", "schema-required", ""},
		{"a key that there is not", "  haemoglobin:\n    - {system: https://a.example, code: A, unit: g/dL}\n", "schema-unknown-element", ""},
		{"an empty list", "  haemoglobin: []\n", "schema-empty", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			settings, list := read(withCodings(t, c.section))
			if len(list) != 1 || list[0].Rule != c.rule || settings != nil || list[0].Severity != finding.Error {
				t.Fatalf("%v, want one %s", list, c.rule)
			}
			if text := list[0].Text(true); !strings.Contains(text, c.says) || list[0].Place.Line == 0 {
				t.Errorf("%s does not say %q", text, c.says)
			}
		})
	}
}

func TestCodingsAndSNOMEDChangeTheHash(t *testing.T) {
	hash := func(text string) string {
		settings, list := read(text)
		if len(list) > 0 {
			t.Fatal(list)
		}
		return settings.Hash()
	}
	seen := map[string]string{}
	for name, text := range map[string]string{
		"demo":    demoText(t),
		"snomed":  changed(t, "\nwrite:\n", "\nwrite:\n  snomed: \"yes\"\n"),
		"coding":  withCodings(t, "  haemoglobin:\n    - {system: https://a.example, code: A}\n"),
		"display": withCodings(t, "  haemoglobin:\n    - {system: https://a.example, code: A, display: a}\n"),
		"when":    withCodings(t, "  blood-flow:\n    - {system: https://a.example, code: A, when: Qs}\n"),
		"any":     withCodings(t, "  blood-flow:\n    - {system: https://a.example, code: A, when: any}\n"),
	} {
		h := hash(text)
		if other, twice := seen[h]; twice {
			t.Errorf("%s and %s have one hash", name, other)
		}
		seen[h] = name
	}
	if hash(demoText(t)) != hash(changed(t, "\nwrite:\n", "\nwrite:\n  snomed: \"no\"\n")) {
		t.Error("no SNOMED CT, said or not, gives two hashes")
	}
}
