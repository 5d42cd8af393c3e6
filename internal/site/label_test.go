package site_test

import (
	"os"
	"testing"

	"saltmark/internal/finding"
	"saltmark/internal/sheet"
	"saltmark/internal/site"
	"saltmark/internal/source"
	"saltmark/mapping/record"
)

// TestTestDataAndPatientsAreKeptApart walks every combination of the version of the
// sheet, its label and the settings.
func TestTestDataAndPatientsAreKeptApart(t *testing.T) {
	for _, c := range []struct {
		name      string
		version   int
		sheet     bool // says that it is test data
		settings  bool // are those of a test
		rule      string
		charted   bool // as test data
		isRefused bool
	}{
		{"version 1 under test", 1, false, true, "sheet-version-old", true, false},
		{"version 1 under production", 1, false, false, "sheet-version-old", false, false},
		{"labelled under test", 2, true, true, "", true, false},
		{"labelled under production", 2, true, false, "test-in-production", true, true},
		{"unlabelled under test", 2, false, true, "test-label-missing", false, true},
		{"unlabelled under production", 2, false, false, "", false, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := &record.Session{Test: c.sheet}
			list := (&site.Settings{Test: c.settings}).Admit(s, c.version)
			rule := ""
			if len(list) > 0 {
				rule = list[0].Rule
			}
			if len(list) > 1 || rule != c.rule || list.HasErrors() != c.isRefused || s.Test != c.charted {
				t.Errorf("%v, test data: %t", list, s.Test)
			}
		})
	}
}

// TestASheetOfVersion1IsStillRead: one is kept as it was.
func TestASheetOfVersion1IsStillRead(t *testing.T) {
	const file = "../../testdata/released/0.0.0/sheets/02-minimal.yaml"
	s, list := charted(t, file)
	if list.HasErrors() || !s.Test {
		t.Errorf("%v, test data: %t", list, s.Test)
	}
	old := 0
	for _, f := range list {
		if f.Rule == "sheet-version-old" && f.Severity == finding.Info && f.Place.Line == 3 {
			old++
		}
	}
	if old != 1 {
		t.Errorf("%d findings say that the version is old: %v", old, list)
	}
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	doc, _ := source.ReadYAML(file, text, source.SheetLimits())
	if v := sheet.VersionOf(doc); v != 1 {
		t.Errorf("the sheet that is kept is of version %d", v)
	}
}
