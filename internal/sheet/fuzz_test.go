package sheet_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

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
		sheet.Traces(doc)
		sheet.Check(s, sheet.DefaultLimits())
		if list.HasErrors() || more.HasErrors() || doc.Root == nil {
			return
		}
		written, err := sheet.Write(s)
		if err != nil {
			t.Fatal(err)
		}
		again, faults := read("again", written)
		if faults.HasErrors() {
			t.Fatalf("%q\n%s", texts(faults), written)
		}
		if diff := cmp.Diff(s, again, withoutPlaces); diff != "" {
			t.Fatal(diff)
		}
	})
}
