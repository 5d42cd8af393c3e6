package mapping_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saltmark/internal/derive"
	"saltmark/internal/sheet"
	"saltmark/internal/site"
	"saltmark/internal/source"
	"saltmark/mapping"
	"saltmark/mapping/record"
)

// demoSession reads a demo sheet and settles it as chart does, traces left out.
func demoSession(t testing.TB, path string, previous *record.Session) *record.Session {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	doc, findings := source.Read(filepath.Base(path), text, source.SheetLimits())
	if findings.HasErrors() {
		t.Fatal(findings[0].Text(true))
	}
	s, findings := sheet.Read(doc)
	if findings.HasErrors() {
		t.Fatal(findings[0].Text(true))
	}
	if findings = site.Demo().Complete(s); findings.HasErrors() {
		t.Fatal(findings[0].Text(true))
	}
	derive.Apply(s)
	if findings = mapping.Settle(s, previous); findings.HasErrors() {
		t.Fatal(findings[0].Text(true))
	}
	return s
}

func TestDemoSheetsAreWrittenAndReadBack(t *testing.T) {
	sheets, err := filepath.Glob("../testdata/sheets/*.yaml")
	if err != nil || len(sheets) == 0 {
		t.Fatal("no demo sheets", err)
	}
	limits := map[string]int{"23-three-injections-plain.yaml": 50, "22-full.yaml": 75}
	for _, path := range sheets {
		t.Run(filepath.Base(path), func(t *testing.T) {
			s := demoSession(t, path, nil)
			text := write(t, s, mapping.Options{Comparators: true})
			got, findings := mapping.Read("bundle.json", text)
			if len(findings) > 0 {
				t.Fatal(findings[0].Text(true))
			}
			if diff := cmp.Diff(s, got, noPlaces); diff != "" {
				t.Error(diff)
			}
			if found := derive.Check(got); len(found) > 0 {
				t.Error(found[0].Text(true))
			}
			n := len(entriesOf(t, text))
			if limit, limited := limits[filepath.Base(path)]; limited && n > limit {
				t.Errorf("%d entries, at most %d", n, limit)
			}
			t.Log(n, "entries,", len(text), "bytes;", conclusion(t, s))
		})
	}
}
