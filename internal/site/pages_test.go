package site_test

import (
	"slices"
	"testing"

	"saltmark/internal/finding"
	"saltmark/internal/site"
	"saltmark/internal/source"
)

// The examples of the pages of rules on settings are pieces of settings that a person
// may copy: nothing in them is unknown or of another form.
func TestExamplesOfThePagesAreWrittenAsSettingsAre(t *testing.T) {
	examples := 0
	for _, r := range finding.Rules() {
		example := r.Page().Example
		if example == "" || r.Layer != "site" {
			continue
		}
		doc, list := source.Read(r.ID+".yaml", []byte(example+"\n"), source.SheetLimits())
		if doc.Root != nil && doc.Root.Get("session") != nil {
			continue // of a sheet
		}
		if !list.HasErrors() {
			_, more := site.Read(doc)
			list = append(list, more...)
		}
		examples++
		for _, f := range list {
			if !slices.Contains([]string{"schema-required", "setting-missing"}, f.Rule) {
				t.Errorf("the example of %s: %s", r.ID, f.Text(true))
			}
		}
	}
	if examples == 0 {
		t.Error("no example was tried")
	}
}
