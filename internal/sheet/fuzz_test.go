package sheet_test

import (
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saltmark/internal/finding"
	"saltmark/internal/sheet"
	"saltmark/internal/source"
)

// FuzzSheet: whatever the bytes, reading neither panics nor hangs, and what reads
// without an error can be written and reads the same again.
func FuzzSheet(f *testing.F) {
	for _, pattern := range []string{"../../testdata/sheets/*.yaml", "../../testdata/bad/*.yaml"} {
		files, err := filepath.Glob(pattern)
		if err != nil {
			f.Fatal(err)
		}
		for _, file := range files {
			text, err := os.ReadFile(file)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(text)
		}
	}
	f.Add([]byte(`{"saltmark": 2}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		doc, list := source.Read("fuzz", text, source.SheetLimits())
		s, more := sheet.Read(doc)
		traced := len(sheet.Traces(doc)) > 0
		sheet.Check(s, sheet.DefaultLimits())
		if list.HasErrors() || more.HasErrors() || doc.Root == nil {
			return
		}
		written, err := sheet.Write(s)
		if err != nil {
			t.Fatal(err)
		}
		again, faults := read("again", written)
		if traced {
			// The files of traces are not part of what is written, so that an injection
			// which rests on one has no flow now.
			faults = slices.DeleteFunc(faults, func(f finding.Finding) bool { return f.Rule == "injection-without-flow" })
		}
		if faults.HasErrors() {
			t.Fatalf("%q\n%s", texts(faults), written)
		}
		if diff := cmp.Diff(s, again, withoutPlaces); diff != "" {
			t.Fatal(diff)
		}
	})
}
