package site_test

import (
	"os"
	"testing"

	"saltmark/internal/site"
	"saltmark/internal/source"
)

// Any text is settings, whose every decision can be shown, or is refused with an error.
func FuzzRead(f *testing.F) {
	demo, err := os.ReadFile("demo.yaml")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(string(demo))
	f.Add("saltmark-site: 2\nstage: test\nbase: https://ward.example/\n")
	f.Fuzz(func(t *testing.T, text string) {
		doc, found := source.Read("site.yaml", []byte(text), source.SheetLimits())
		if found.HasErrors() {
			return
		}
		settings, found := site.Read(doc)
		if (settings == nil) != found.HasErrors() && doc.Root != nil {
			t.Fatalf("%v with %v", settings, found)
		}
		if settings != nil && settings.Hash() == "" {
			t.Fatal("settings without a hash")
		}
	})
}
