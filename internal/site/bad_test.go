package site_test

import (
	"flag"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saltmark/internal/finding"
	"saltmark/internal/language"
)

var update = flag.Bool("update", false, "write the messages of the bad sheets anew")

// TestBadSheetsGiveTheirMessage: each sheet has one fault, and its exact message
// stands beside it. No value of a person is shown.
func TestBadSheetsGiveTheirMessage(t *testing.T) {
	for _, file := range files(t, "../../testdata/bad/*.yaml") {
		beside := strings.TrimSuffix(file, ".yaml") + ".txt"
		t.Run(filepath.Base(file), func(t *testing.T) {
			_, list := charted(t, file)
			var b strings.Builder
			for _, f := range list {
				b.WriteString(f.Text(false) + "\n")
			}
			if list.Worst() < finding.Warning {
				t.Error("the sheet has no fault")
			}
			if *update {
				if err := os.WriteFile(beside, []byte(b.String()), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(beside)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(string(want), b.String()); diff != "" {
				t.Errorf("- the file, + now:\n%s", diff)
			}
		})
	}
}

// inGerman holds the messages of all bad sheets in German, each below the English
// one, to be read side by side.
const inGerman = "../../testdata/bad/in-german.txt"

func TestBadSheetsGiveTheirMessageInGerman(t *testing.T) {
	var b strings.Builder
	for _, file := range files(t, "../../testdata/bad/*.yaml") {
		_, list := charted(t, file)
		for _, f := range list {
			english, german := f.Text(false), f.TextIn(language.German, false)
			if english == german {
				t.Errorf("%s says the same in both languages", english)
			}
			b.WriteString(english + "\n" + german + "\n\n")
		}
	}
	if *update {
		if err := os.WriteFile(inGerman, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(inGerman)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(b.String(), "\n")); diff != "" {
		t.Errorf("- the file, + now:\n%s", diff)
	}
}

// TestEveryRuleOfTheSheetHasABadSheet: what no sheet breaks nobody has seen work.
func TestEveryRuleOfTheSheetHasABadSheet(t *testing.T) {
	var broken []string
	for _, file := range files(t, "../../testdata/bad/*.yaml") {
		_, list := charted(t, file)
		for _, f := range list {
			broken = append(broken, f.Rule)
		}
	}
	for _, r := range finding.Rules() {
		if r.Layer == "sheet" && !slices.Contains(broken, r.ID) {
			t.Errorf("no bad sheet breaks %s", r.ID)
		}
	}
}
