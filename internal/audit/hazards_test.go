package audit_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"saltmark/internal/finding"
)

// TestHazardsNameRulesAndTestsThatExist reads the table of HAZARDS.md.
func TestHazardsNameRulesAndTestsThatExist(t *testing.T) {
	text, err := os.ReadFile("HAZARDS.md")
	if err != nil {
		t.Fatal(err)
	}
	rules, tests := map[string]bool{"-": true}, testNames(t)
	for _, r := range finding.Rules() {
		rules[r.ID] = true
	}
	rows := 0
	for line := range strings.Lines(string(text)) {
		cells := strings.Split(strings.Trim(strings.TrimSpace(line), "|"), "|")
		if len(cells) != 5 || strings.Contains(line, "---") || strings.Contains(line, "| hazard |") {
			continue
		}
		rows++
		rule, test := strings.TrimSpace(cells[3]), strings.TrimSpace(cells[4])
		if !rules[rule] {
			t.Errorf("row %d: there is no rule %q", rows, rule)
		}
		if !tests[test] {
			t.Errorf("row %d: there is no test %q", rows, test)
		}
		for _, c := range cells {
			if strings.TrimSpace(c) == "" {
				t.Errorf("row %d has an empty cell", rows)
			}
		}
	}
	if rows < 20 {
		t.Errorf("%d hazards were read", rows)
	}
}

// testNames gives the names of all tests of the repository.
func testNames(t *testing.T) map[string]bool {
	t.Helper()
	names := map[string]bool{}
	form := regexp.MustCompile(`(?m)^func (Test\w+)\(`)
	err := filepath.WalkDir("../..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, "_test.go") {
			return err
		}
		text, err := os.ReadFile(path)
		for _, m := range form.FindAllSubmatch(text, -1) {
			names[string(m[1])] = true
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return names
}
