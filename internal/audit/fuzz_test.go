package audit_test

import (
	"slices"
	"testing"

	"saltmark/internal/audit"
)

// FuzzCheck: no bytes stop the audit, the same bytes give the same findings, and a
// rule that is switched off is silent.
func FuzzCheck(f *testing.F) {
	for _, name := range []string{"29-never-measured", "02-minimal"} {
		f.Add(format(f, parse(f, golden(f, name))))
	}
	for _, e := range list(parse(f, golden(f, "22-full")), "entry") {
		f.Add(format(f, e.(node)["resource"].(node)))
	}
	for _, row := range foreigns {
		f.Add([]byte(row.text))
	}
	for _, seed := range []string{
		`{"resourceType":"Observation","status":"final","code":{"coding":[{"system":"http://loinc.org","code":"8737-9"}]},"valueQuantity":{"value":1E400}}`,
		`{"resourceType":"Bundle","type":"transaction","entry":[{"resource":{"resourceType":"Device"}},null,{}]}`,
		`{"resourceType":"Bundle","entry":[{"resource":{"resourceType":"Observation","component":[1,{}],"derivedFrom":{"reference":1},"contained":[[]]}}]}`,
		`{"resourceType":"Observation","text":{"div":"<div xmlns=\"http://www.w3.org/1999/xhtml\">&x;</div>"},"valueSampledData":{"data":"1 E","dimensions":0}}`,
		`{"resourceType":"Bundle","type":"transaction","entry":[{"resource":{"resourceType":"Observation","identifier":[{"system":"s","value":"a/session/session-panel"}],"code":{"coding":[{"system":"b/CodeSystem/measures"}]}}}]}`,
		`{"resourceType":"Observation","effectivePeriod":{"start":"2031-05-03T23:59:60Z","end":""},"referenceRange":[{"low":{"value":"x"},"high":{"value":1}},1]}`,
		`[]`, `{"resourceType":1}`,
	} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		first := audit.Check("f.json", text, audit.Options{})
		if second := audit.Check("f.json", text, audit.Options{}); !slices.Equal(first, second) {
			t.Errorf("%v, then %v", first, second)
		}
		if has(first, "audit-stopped") {
			t.Fatal("the audit stopped")
		}
		for _, found := range first[:min(len(first), 3)] {
			if has(audit.Check("f.json", text, audit.Options{Off: map[string]bool{found.Rule: true}}), found.Rule) {
				t.Errorf("%s speaks although it is switched off", found.Rule)
			}
		}
	})
}
