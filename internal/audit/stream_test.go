package audit_test

import (
	"strings"
	"testing"

	"saltmark/internal/audit"
	"saltmark/internal/source"
)

func TestNoResourceIsTwiceInAStream(t *testing.T) {
	flowOf := func(session, id string) string {
		return `{"resourceType":"Observation","id":"` + id + `","identifier":[{"system":"s","value":"` + session + `/session/blood-flow/derived"}],"status":"final","code":{"text":"x"}}`
	}
	for _, row := range []struct {
		name  string
		lines []string
		want  int
	}{
		{"different resources", []string{flowOf("a", "1"), flowOf("b", "2")}, 0},
		{"one identity under two ids", []string{flowOf("a", "1"), flowOf("a", "2")}, 1},
		{"one resource twice", []string{`{"resourceType":"Device","id":"1"}`, `{"resourceType":"Device","id":"2"}`, `{"resourceType":"Device","id":"1"}`}, 1},
		{"two types with one id", []string{`{"resourceType":"Device","id":"1"}`, `{"resourceType":"Patient","id":"1"}`}, 0},
		{"two versions", []string{`{"resourceType":"Device","id":"1","meta":{"versionId":"1"}}`, `{"resourceType":"Device","id":"1","meta":{"versionId":"2"}}`}, 0},
		{"one session in two bundles", []string{
			`{"resourceType":"Bundle","type":"transaction","entry":[{"resource":` + flowOf("a", "1") + `}]}`,
			`{"resourceType":"Bundle","type":"transaction","entry":[{"resource":` + flowOf("a", "1") + `}]}`}, 1},
		{"shared devices in two bundles", []string{
			`{"resourceType":"Bundle","type":"transaction","entry":[{"resource":{"resourceType":"Device","identifier":[{"value":"m1"}]}}]}`,
			`{"resourceType":"Bundle","type":"transaction","entry":[{"resource":{"resourceType":"Device","identifier":[{"value":"m1"}]}}]}`}, 0},
	} {
		t.Run(row.name, func(t *testing.T) {
			var lines audit.Lines
			count := 0
			for line, err := range source.Lines("s.ndjson", strings.NewReader(strings.Join(row.lines, "\n")), source.ResourceLimits()) {
				if err != nil {
					t.Fatal(err)
				}
				found := lines.Repeated(line.Document)
				count += len(found)
				for _, f := range found {
					if f.Rule != "line-twice" || f.Place.Line != len(row.lines) {
						t.Error(f.Text(true))
					}
				}
			}
			if count != row.want {
				t.Errorf("%d findings, want %d", count, row.want)
			}
		})
	}
}
