package report_test

import (
	"testing"

	"saltmark/internal/report"
	"saltmark/internal/source"
)

// Any document is a baseline or is refused with a reason.
func FuzzReadKnown(f *testing.F) {
	for _, text := range []string{
		`{"report":"saltmark-run","version":"1","documents":[{"findings":[{"rule":"r","severity":"error","place":{"file":"f","pointer":"/a"}}]}]}`,
		`{"report":"saltmark-run","version":"1","documents":{"findings":1}}`, `{"report":1}`, `[]`, `1`,
	} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		doc, found := source.ReadJSON("old.json", text, source.ResourceLimits())
		if found.HasErrors() {
			return
		}
		known, err := report.ReadKnown(doc, func(name string) string { return name })
		if (known == nil) == (err == nil) {
			t.Fatalf("%v with %v", known, err)
		}
	})
}
