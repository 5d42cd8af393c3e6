package rehearsal

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"saltmark/internal/chart"
	"saltmark/internal/circuit"
	"saltmark/internal/finding"
	"saltmark/internal/site"
	"saltmark/mapping"
)

func options(mistakes float64) Options {
	return Options{Seed: 7, Circuits: []circuit.Circuit{circuit.Tanks{}, circuit.Parcels{}}, Mistakes: mistakes, RateHz: 25}
}

// charted charts a rehearsed sheet under the demo settings.
func charted(s Session) chart.Result {
	return chart.Sheet(s.Files[0].Name, s.Files[0].Text, chart.Options{
		Site: site.Demo(), Software: mapping.Software{Name: "saltmark", Version: "test"}, Curves: true,
		Open: func(name string) ([]byte, error) {
			for _, f := range s.Files[1:] {
				if f.Name == name {
					return f.Text, nil
				}
			}
			return nil, fmt.Errorf("no file %s", name)
		},
	})
}

func TestASessionWithoutAMistakeChartsWithoutAnError(t *testing.T) {
	for number := range sessions(t) {
		s, err := New(options(0), number)
		if err != nil {
			t.Fatal(err)
		}
		r := charted(s)
		if r.Bundle == nil {
			t.Errorf("%s is not charted: %v\n%s", s.ID, texts(r.Findings), s.Files[0].Text)
		}
	}
}

func TestAMistakeIsFoundByTheRuleThatTheTruthNames(t *testing.T) {
	seen := map[string]bool{}
	for number := range 4 * sessions(t) {
		s, err := New(options(1), number)
		if err != nil {
			t.Fatal(err)
		}
		row := s.Truth[0]
		if row.Mistake == "" {
			t.Fatalf("%s has no mistake", s.ID)
		}
		seen[row.Mistake] = true
		r := charted(s)
		if (r.Bundle == nil) != row.Refused {
			t.Errorf("%s, %s: refused %v, want %v: %v", s.ID, row.Mistake, r.Bundle == nil, row.Refused, texts(r.Findings))
		}
		if row.Expects != "" && !ofRecording(row.Expects) && !names(r.Findings, row.Expects) {
			t.Errorf("%s, %s: %s is not among %v", s.ID, row.Mistake, row.Expects, texts(r.Findings))
		}
	}
	if len(seen) < len(mistakes())/2 {
		t.Errorf("only %d mistakes of %d were made", len(seen), len(mistakes()))
	}
}

func sessions(t *testing.T) int {
	t.Helper()
	if testing.Short() {
		return 8
	}
	return 30
}

// ofRecording: rules of recordings are the estimator's; how often it names them is told
// by internal/accuracy.
func ofRecording(rule string) bool {
	_, ok := circuit.SpoilingOf(rule)
	return ok
}

func names(list finding.List, rule string) bool {
	for _, f := range list {
		if f.Rule == rule {
			return true
		}
	}
	return false
}

func texts(list finding.List) (lines []string) {
	for _, f := range list {
		lines = append(lines, f.Text(true))
	}
	return lines
}

func TestASessionDependsOnSeedAndNumberAlone(t *testing.T) {
	first, err := New(options(0.5), 3)
	if err != nil {
		t.Fatal(err)
	}
	again, _ := New(options(0.5), 3)
	for i, f := range first.Files {
		if !bytes.Equal(f.Text, again.Files[i].Text) || f.Name != again.Files[i].Name {
			t.Errorf("%s is another the second time", f.Name)
		}
	}
	o := options(0.5)
	o.Seed = 8
	other, _ := New(o, 3)
	if bytes.Equal(first.Files[1].Text, other.Files[1].Text) || first.ID == other.ID {
		t.Error("another seed makes the same session")
	}
}

func TestNoNameOfAPatientIsInTheSessionsIdentifier(t *testing.T) {
	s, err := New(options(0), 12)
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(string(s.Files[0].Text), "\n") {
		if id, ok := strings.CutPrefix(line, "patient: "); ok && strings.Contains(s.ID, id) {
			t.Errorf("%s holds %s", s.ID, id)
		}
	}
	if !bytes.Contains(s.Files[0].Text, []byte("\n  test: \"yes\"\n")) {
		t.Error("the sheet does not say that it is test data")
	}
}

func TestTheTruthHasARowForEachInjection(t *testing.T) {
	var rows []Row
	for number := range 6 {
		s, err := New(options(1), number)
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Truth) != len(s.Files)-1 {
			t.Errorf("%s: %d rows for %d recordings", s.ID, len(s.Truth), len(s.Files)-1)
		}
		rows = append(rows, s.Truth...)
	}
	var b bytes.Buffer
	if err := WriteTruth(&b, rows); err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n")
	if len(lines) != len(rows)+1 {
		t.Fatalf("%d lines for %d rows", len(lines), len(rows))
	}
	for _, line := range lines {
		if got, want := strings.Count(line, "\t"), strings.Count(lines[0], "\t"); got != want {
			t.Errorf("%d tabs, %d are wanted: %s", got, want, line)
		}
	}
}
