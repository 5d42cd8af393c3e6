package site_test

import (
	"os"
	"path/filepath"
	"testing"

	"saltmark/internal/derive"
	"saltmark/internal/finding"
	"saltmark/internal/sheet"
	"saltmark/internal/site"
	"saltmark/internal/source"
	"saltmark/mapping/record"
)

// charted reads a sheet and brings it as far as the bytes of a bundle.
func charted(t *testing.T, file string) (*record.Session, finding.List) {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	doc, list := source.Read(filepath.Base(file), text, source.SheetLimits())
	if list.HasErrors() {
		return nil, list
	}
	s, found := sheet.Read(doc)
	list = append(list, found...)
	if list.HasErrors() {
		return s, list
	}
	list = append(list, site.Demo().Admit(s, sheet.VersionOf(doc))...)
	list = append(list, site.Demo().Check(s)...)
	if list = append(list, site.Demo().Complete(s)...); list.HasErrors() {
		return s, list
	}
	list = append(list, derive.Apply(s)...)
	list = append(list, sheet.Check(s, site.Demo().Limits())...)
	list.Sort()
	return s, list
}

func files(t *testing.T, pattern string) []string {
	t.Helper()
	files, err := filepath.Glob(pattern)
	if err != nil || len(files) == 0 {
		t.Fatalf("no file at %s (%v)", pattern, err)
	}
	return files
}

func TestDemoSheetsReadClean(t *testing.T) {
	for _, file := range append(files(t, "../../testdata/sheets/*.yaml"), files(t, "../../testdata/sheets/series/*.yaml")...) {
		t.Run(filepath.Base(file), func(t *testing.T) {
			_, list := charted(t, file)
			for _, f := range list {
				if f.Severity == finding.Error {
					t.Error(f.Text(true))
				} else {
					t.Log(f.Text(true))
				}
			}
		})
	}
}
