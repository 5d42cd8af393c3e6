package chart_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"saltmark/internal/audit"
	"saltmark/internal/chart"
	"saltmark/internal/finding"
	"saltmark/mapping"
	"saltmark/mapping/record"
)

// withoutInjections are the options of a site that leaves single injections out.
func withoutInjections(t *testing.T, form mapping.Form) chart.Options {
	t.Helper()
	return chart.Options{
		Site:     settingsWith(t, "injections: separate", "injections: none"),
		Software: mapping.Software{Name: "saltmark", Version: "golden"}, Form: form,
	}
}

// Every demo sheet is charted without its single injections, in every form, and the
// audit of what was written finds no error.
func TestSingleInjectionsMayBeLeftOut(t *testing.T) {
	sheets, err := filepath.Glob(filepath.Join(sheetFolder, "*.yaml"))
	if err != nil || len(sheets) == 0 {
		t.Fatal(err)
	}
	for _, form := range mapping.Forms() {
		if testing.Short() && form != mapping.Transaction {
			continue
		}
		o := withoutInjections(t, form).Prepare()
		for _, sheet := range sheets {
			text, err := os.ReadFile(sheet)
			if err != nil {
				t.Fatal(err)
			}
			o.Open = func(name string) ([]byte, error) { return os.ReadFile(filepath.Join(sheetFolder, name)) }
			r := chart.Sheet(filepath.Base(sheet), text, o)
			if r.Bundle == nil && form == mapping.Document && strings.Contains(string(text), "{reference: Patient/") {
				// A document holds what its Composition refers to, and a patient is never written.
				if !strings.Contains(rules(r), "document-incomplete") {
					t.Errorf("%s as %s is refused: %s", r.Name, form, rules(r))
				}
				continue
			}
			if r.Bundle == nil {
				t.Errorf("%s as %s is refused: %s", r.Name, form, rules(r))
				continue
			}
			if strings.Contains(string(r.Bundle), r.ID+"/injection-") {
				t.Errorf("%s as %s has a single injection", r.Name, form)
			}
			for _, f := range audit.CheckText(r.Name, r.Bundle, form, audit.Options{}) {
				if f.Severity > finding.Info {
					t.Errorf("%s as %s: %s", r.Name, form, f.Text(true))
				}
			}
		}
	}
}

// What follows from the values that stand is proved without the injections too.
func TestWithoutInjectionsWhatFollowsIsStillProved(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(sheetFolder, "01-plain-infant.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	bundle := string(chart.Sheet("01", text, withoutInjections(t, "")).Bundle)
	for _, c := range []struct{ rule, old, new string }{
		{"injections-left-out", "", ""},
		{"derived-value", `"value":0.610`, `"value":0.620`},
		{"derived-value", `"value":203`, `"value":204`},
		{"derived-value", `"value":5351`, `"value":5350`},
		{"rewrite-differs", `"text":"body weight"`, `"text":"mass"`},
		{"reference-unresolved", `"hasMember":[`, `"hasMember":[{"reference":"urn:uuid:00000000-0000-5000-8000-000000000000"},`},
	} {
		if !strings.Contains(bundle, c.old) {
			t.Fatalf("no %s", c.old)
		}
		found := audit.Check("01", []byte(strings.Replace(bundle, c.old, c.new, 1)), audit.Options{})
		var told []string
		for _, f := range found {
			told = append(told, f.Rule)
		}
		if !strings.Contains(strings.Join(told, " "), c.rule) {
			t.Errorf("%s for %s: %q", c.new, c.old, told)
		}
	}
}

// A bundle that loses its injections on the way is no bundle that leaves them out.
func TestLostInjectionsAreNotTakenForLeftOut(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(formFolder, "01-plain-infant.ndjson"))
	if err != nil {
		t.Fatal(err)
	}
	var kept []string
	for line := range strings.Lines(string(text)) {
		if !strings.Contains(line, `"value":"demo-2031-0001/injection-`) {
			kept = append(kept, line)
		}
	}
	if found := audit.CheckText("lines", []byte(strings.Join(kept, "")), mapping.NDJSON, audit.Options{}); !found.HasErrors() {
		t.Errorf("%d lines pass", len(kept))
	}
}

// What the record holds is taken back, though the settings or the command line leave
// it out by now: single injections, traces, values of other methods.
func TestWhatTheRecordHoldsIsTakenBackThoughItIsLeftOutNow(t *testing.T) {
	const name = "27-with-traces.yaml"
	text, err := os.ReadFile(filepath.Join(sheetFolder, name))
	if err != nil {
		t.Fatal(err)
	}
	open := func(name string) ([]byte, error) { return os.ReadFile(filepath.Join(sheetFolder, name)) }
	first := withoutInjections(t, "")
	first.Site, first.Curves, first.Open = settingsWith(t), true, open
	before, found := mapping.Read(name, chart.Sheet(name, text, first).Bundle)
	if found.HasErrors() {
		t.Fatal(found)
	}
	withdrawn := strings.Replace(string(text), "  id: demo-2031-0027\n", `  id: demo-2031-0027
  revision: 2
  reason: wrong patient
  withdrawn: {by: demo-person-9, at: 2031-06-13T09:00:00+02:00, reason: wrong patient}
`, 1)
	second := withoutInjections(t, "")
	second.Open = open
	second.Previous = func(string) (*record.Session, error) { return before, nil }
	r := chart.Sheet(name, []byte(withdrawn), second)
	after, found := mapping.Read(name, r.Bundle)
	if found.HasErrors() || r.Bundle == nil {
		t.Fatal(rules(r), found)
	}
	for i := range before.Facts {
		ref := before.Facts[i].Ref
		if f := after.Find(ref.About, ref.Measure, ref.Origin); f == nil || f.Status != record.EnteredInError {
			t.Errorf("%v is not taken back", ref)
		}
	}
}
