package guide

import (
	"bytes"
	"embed"
	"fmt"

	"saltmark/internal/profile"
	"saltmark/internal/r4"
	"saltmark/internal/source"
)

// exampleFiles are a demo sheet and its recording: copies of those in testdata, which a
// test compares.
//
//go:embed example
var exampleFiles embed.FS

// ExampleSheet is the name of the sheet that the examples are charted from.
const ExampleSheet = "22-full.yaml"

// ExampleFile gives the sheet, or a recording that it names.
func ExampleFile(name string) ([]byte, error) { return exampleFiles.ReadFile("example/" + name) }

// ExamplesOf gives the lines of a session, as mapping writes them, as examples.
func ExamplesOf(lines []byte, base string) ([]Example, error) {
	var list []Example
	for line := range bytes.Lines(lines) {
		doc, found := source.ReadJSON(ExampleSheet, line, source.ResourceLimits())
		if found.HasErrors() {
			return nil, fmt.Errorf("an example cannot be read: %s", found[0].Text(false))
		}
		e := Example{Type: r4.Text(doc.Root, "resourceType"), ID: r4.Text(doc.Root, "id"), Text: objectOf(doc.Root).encode()}
		for _, claim := range r4.Items(doc.Root.Get("meta"), "profile") {
			if p, ours := profile.At(claim.Text, base); ours {
				e.Profile = p.ID
			}
		}
		list = append(list, e)
	}
	return list, nil
}
