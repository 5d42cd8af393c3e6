package audit_test

import (
	"os"
	"path/filepath"
	"testing"

	"saltmark/internal/shape/archive"
)

// TestExamplesOfOtherGuides audits the examples of guides of others, whose packages are in
// the folder that SALTMARK_GUIDES names; make examples fetches them. What guidefindings.tsv
// does not list is a false accusation until somebody shows the sentence that the example
// breaks.
func TestExamplesOfOtherGuides(t *testing.T) {
	folder := os.Getenv("SALTMARK_GUIDES")
	if folder == "" {
		t.Skip("SALTMARK_GUIDES names no folder; make examples does")
	}
	e := newExamples(t, "guidefindings.tsv")
	for _, row := range cellsOf(t, "guides.tsv", 3) {
		guide, examples := row[0], 0
		err := archive.EachIn(filepath.Join(folder, guide+"-"+row[1]+".tgz"), "package/example/", func(name string, text []byte) error {
			if archive.IsResource(name) {
				examples++
				e.judge(guide+"/"+name, text)
			}
			return nil
		})
		if err != nil {
			t.Error(err)
		}
		if examples == 0 {
			t.Errorf("%s holds no examples", guide)
		}
		t.Logf("%s %s: %d examples", guide, row[1], examples)
	}
	e.stale(func(string) bool { return true })
}
