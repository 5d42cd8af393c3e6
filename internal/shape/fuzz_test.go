package shape_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"saltmark/internal/finding"
	"saltmark/internal/shape"
	"saltmark/internal/source"
)

// FuzzCheck: whatever JSON comes, the answer is the same each time, its rules are listed,
// and no value of a person is in what is shown.
func FuzzCheck(f *testing.F) {
	paths, err := filepath.Glob("../../testdata/examples/subset/*.json")
	if err != nil || len(paths) == 0 {
		f.Fatalf("no seeds: %v", err)
	}
	for _, p := range paths {
		text, err := os.ReadFile(p)
		if err != nil {
			f.Fatal(err)
		}
		if len(text) < 10_000 {
			f.Add(text)
		}
	}
	for _, row := range faults {
		f.Add([]byte(strings.Replace(within[row.kind], "{}", row.text, 1)))
	}
	listed := map[string]bool{}
	for _, r := range finding.Rules() {
		listed[r.ID] = true
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		doc, _ := source.ReadJSON("f.json", text, source.ResourceLimits())
		found := shape.Check(doc, shape.Options{Each: func(kind string, n *source.Node, pointer func() string) {
			if doc.Find(pointer()) != n || !shape.IsResource(kind) {
				t.Fatalf("%s at %s", kind, pointer())
			}
		}})
		if doc.Root == nil {
			if len(found) > 0 {
				t.Fatal(told(found))
			}
			return
		}
		for _, f := range found {
			if !listed[f.Rule] || f.Severity == 0 || f.Place.Line == 0 || f.Found == "" || f.Sentence(true) == "" {
				t.Fatalf("%+v", f)
			}
		}
		if again := told(shape.Check(doc, shape.Options{})); strings.Join(again, "\n") != strings.Join(told(found), "\n") {
			t.Fatalf("%q, then %q", told(found), again)
		}
	})
}
