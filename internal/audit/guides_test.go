package audit_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"saltmark/internal/audit"
	"saltmark/internal/finding"
	"saltmark/internal/shape/archive"
)

// cellsOf reads the lines of a table of testdata/examples; one that begins with # is a
// comment.
func cellsOf(t *testing.T, name string, want int) [][]string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(examplesFolder, name))
	if err != nil {
		t.Fatal(err)
	}
	var rows [][]string
	for line := range strings.Lines(string(text)) {
		cells := strings.Split(strings.TrimSuffix(line, "\n"), "\t")
		if strings.HasPrefix(line, "#") {
			continue
		}
		if len(cells) != want {
			t.Fatalf("%s: %q has not %d cells", name, line, want)
		}
		rows = append(rows, cells)
	}
	return rows
}

// TestExamplesOfOtherGuides audits the examples of guides of others, whose packages are in
// the folder that SALTMARK_GUIDES names; make examples fetches them. An error, or a
// warning, that guidefindings.tsv does not list is a false one until somebody shows the
// sentence that the example breaks.
func TestExamplesOfOtherGuides(t *testing.T) {
	folder := os.Getenv("SALTMARK_GUIDES")
	if folder == "" {
		t.Skip("SALTMARK_GUIDES names no folder; make examples does")
	}
	type told struct{ guide, file, rule string }
	left := map[told]int{}
	for _, row := range cellsOf(t, "guidefindings.tsv", 6)[1:] {
		n, err := strconv.Atoi(row[3])
		if err != nil || n < 1 || row[5] == "" {
			t.Errorf("guidefindings.tsv: %q has no count or no reason", row)
		}
		left[told{row[0], row[1], row[2]}] = n
	}
	for _, row := range cellsOf(t, "guides.tsv", 3) {
		guide, examples := row[0], 0
		err := archive.EachIn(filepath.Join(folder, guide+"-"+row[1]+".tgz"), "package/example/", func(name string, text []byte) error {
			if !archive.IsResource(name) {
				return nil
			}
			examples++
			for _, f := range audit.Check(name, text, audit.Options{}) {
				if f.Severity == finding.Info {
					continue
				}
				key := told{guide, name, f.Rule}
				if left[key]--; left[key] < 0 {
					t.Errorf("%s: not in guidefindings.tsv, or more often than there: %s", guide, f.Text(true))
				}
			}
			return nil
		})
		if err != nil {
			t.Error(err)
		}
		if examples == 0 {
			t.Errorf("%s holds no examples", guide)
		}
		fmt.Printf("%s %s: %d examples\n", guide, row[1], examples)
	}
	for key, n := range left {
		if n > 0 {
			t.Errorf("guidefindings.tsv: %s in %s of %s was found %d times fewer than it says", key.rule, key.file, key.guide, n)
		}
	}
}
