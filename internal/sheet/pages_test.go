package sheet_test

import (
	"slices"
	"strings"
	"testing"

	"saltmark/internal/finding"
)

// The examples of the pages of rules are pieces of a sheet that a person may copy.
// Whatever is found in one may only be that it is a piece.
func TestExamplesOfThePagesAreWrittenAsASheetIs(t *testing.T) {
	ofAPiece := []string{"schema-required", "sheet-incomplete", "injections-missing", "injection-without-flow"}
	examples := 0
	for _, r := range finding.Rules() {
		example := r.Page().Example
		if example == "" || r.Layer == "site" || r.Layer == "selection" {
			continue // tried by packages site and selection
		}
		examples++
		_, list := read(r.ID+".yaml", []byte(example+"\n"))
		for _, f := range list {
			if !slices.Contains(ofAPiece, f.Rule) {
				t.Errorf("the example of %s: %s", r.ID, f.Text(true))
			}
		}
		for line := range strings.Lines(example) {
			if len(line) > 76 {
				t.Errorf("the example of %s has a line of %d characters: a terminal breaks it", r.ID, len(line))
			}
		}
	}
	if examples < 5 {
		t.Errorf("%d examples were tried", examples)
	}
}
