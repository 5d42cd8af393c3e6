package chart_test

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"saltmark/internal/audit"
	"saltmark/internal/chart"
	"saltmark/internal/finding"
	"saltmark/mapping"
)

// A withdrawal wants no verification. What somebody had answered when the session was
// verified stays answered.
func TestASessionWithAnAnsweredSignIsWithdrawnWithoutAVerifier(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(sheetFolder, "28-sign-answered.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	first := chart.Sheet("first.yaml", text, options(sheetFolder, nil))
	if first.Bundle == nil {
		t.Fatal(rules(first))
	}
	taken := regexp.MustCompile(`(?m)^verified: .*\n`).ReplaceAllString(string(text), "")
	taken = strings.Replace(taken, "\npatient:", `
  revision: 2
  reason: filed for the wrong patient
  withdrawn: {by: demo-person-9, at: 2031-06-17T11:40:00+02:00, reason: filed for the wrong patient}
patient:`, 1)
	before, found := mapping.Read("first.json", first.Bundle)
	if before == nil {
		t.Fatal(found)
	}
	second := chart.Sheet("second.yaml", []byte(taken), options(sheetFolder, before))
	if second.Bundle == nil {
		t.Fatalf("refused: %s", rules(second))
	}
	for _, f := range audit.Check("second.json", second.Bundle, audit.Options{}) {
		if f.Severity > finding.Info {
			t.Error(f.Text(true))
		}
	}
}
