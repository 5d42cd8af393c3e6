package audit_test

import (
	"os"
	"path/filepath"
	"testing"

	"saltmark/internal/audit"
)

// FuzzCheck: no bytes stop the audit, and the same bytes give the same findings.
func FuzzCheck(f *testing.F) {
	for _, name := range []string{"02-minimal", "29-never-measured"} {
		text, err := os.ReadFile(filepath.Join(bundles, name+".json"))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	for _, seed := range []string{
		`{"resourceType":"Observation","status":"final","code":{"coding":[{"system":"http://loinc.org","code":"8737-9"}]},"valueQuantity":{"value":1E400}}`,
		`{"resourceType":"Bundle","type":"transaction","entry":[{"resource":{"resourceType":"Device"}},null,{}]}`,
		`{"resourceType":"Bundle","entry":[{"resource":{"resourceType":"Observation","component":[1,{}],"derivedFrom":{"reference":1},"contained":[[]]}}]}`,
		`{"resourceType":"Observation","text":{"div":"<div xmlns=\"http://www.w3.org/1999/xhtml\">&x;</div>"},"valueSampledData":{"data":"1 E","dimensions":0}}`,
		`[]`, `{"resourceType":1}`,
	} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		first := audit.Check("f.json", text, audit.Options{})
		for _, found := range first {
			if found.Rule == "audit-stopped" {
				t.Fatal("the audit stopped")
			}
		}
		if second := audit.Check("f.json", text, audit.Options{}); len(first) != len(second) {
			t.Errorf("%d findings, then %d", len(first), len(second))
		}
	})
}
