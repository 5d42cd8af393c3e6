package chart_test

import (
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saltmark/internal/audit"
	"saltmark/internal/chart"
	"saltmark/internal/derive"
	"saltmark/internal/finding"
	"saltmark/internal/site"
	"saltmark/mapping"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// reported is what a monitor reported of an injection, in a sheet.
var reported = regexp.MustCompile(`(?m)^    reported:\n(      .*\n)+`)

// recomputing charts a sheet with traces; unreported without what the monitor reported,
// under settings that chart what was recomputed.
func recomputing(t testing.TB, name string, curves, unreported bool) chart.Result {
	t.Helper()
	path := filepath.Join(sheetFolder, name+".yaml")
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	o := options(sheetFolder, nil)
	o.Curves = curves
	if unreported {
		text = reported.ReplaceAll(text, nil)
		settings := *o.Site
		settings.Supplies = maps.Clone(settings.Supplies)
		settings.Supplies["recomputed-charted"] = []site.Supply{{Value: record.Value{Code: "yes"}}}
		o.Site = &settings
	}
	r := chart.Sheet(path, text, o)
	if r.Bundle == nil {
		for _, f := range r.Findings {
			t.Log(f.Text(true))
		}
		t.Fatal("the sheet is not charted")
	}
	return r
}

// TestASheetWithOneColumnOfCurvesIsCharted: a recording may lack either sensor.
func TestASheetWithOneColumnOfCurvesIsCharted(t *testing.T) {
	path := filepath.Join(sheetFolder, "27-with-traces.yaml")
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for sensor, left := range map[string]int{"arterial": 1, "venous": 2} {
		o := options(sheetFolder, nil)
		all := o.Open
		o.Open = func(name string) ([]byte, error) {
			whole, err := all(name)
			var lines []string
			for line := range strings.Lines(string(whole)) {
				if cells := strings.Split(strings.TrimSuffix(line, "\n"), ","); len(cells) == 3 {
					line = cells[0] + "," + cells[left] + "\n"
				}
				lines = append(lines, line)
			}
			return []byte(strings.Join(lines, "")), err
		}
		sheet := strings.Replace(string(text), `, arterial: "%", venous: "%"`, "", 1)
		r := chart.Sheet(path, []byte(sheet), o)
		if r.Bundle == nil {
			t.Errorf("%s alone: the sheet is not charted: %v", sensor, r.Findings)
		}
		computed := slices.ContainsFunc(r.Beside, func(b derive.Beside) bool { return b.Measure == "blood-flow" && b.Recomputed.Quantity.Number != "" })
		if computed != (sensor == "arterial") {
			t.Errorf("%s alone: a flow is recomputed: %v", sensor, computed)
		}
	}
}

// bare gives the facts of a session without what settling adds, in order.
func bare(s *record.Session) []record.Fact {
	c := *s
	c.Facts = nil
	for _, f := range s.Facts {
		f.Status, f.Kept = "", ""
		c.Facts = append(c.Facts, f)
	}
	c.Sort()
	return c.Facts
}

// TestLawABundleWithCurvesComputesItself: what is read back from a bundle with its
// curves gives, computed and derived again, the very facts of the bundle.
func TestLawABundleWithCurvesComputesItself(t *testing.T) {
	for _, name := range []string{"22-full", "27-with-traces", "32-duct-beside-curves"} {
		for _, unreported := range []bool{false, true} {
			if unreported && name == "22-full" {
				continue // one of its injections has neither curves nor, then, a flow
			}
			r := recomputing(t, name, true, unreported)
			back, found := mapping.Read("bundle.json", r.Bundle)
			if found.HasErrors() {
				t.Fatal(found)
			}
			want := bare(back)
			derive.Apply(back)
			if diff := cmp.Diff(want, bare(back)); diff != "" {
				t.Errorf("%s, unreported %v:\n%s", name, unreported, diff)
			}
			var beside []derive.Beside
			told := map[string]bool{} // of the recordings, when the sheet was charted
			for _, f := range r.Findings {
				told[f.Text(true)[strings.Index(f.Text(true), f.Rule):]] = true
			}
			for _, f := range audit.Check("bundle.json", r.Bundle, audit.Options{Beside: func(rows []derive.Beside) { beside = rows }}) {
				if told[f.Text(true)[strings.Index(f.Text(true), f.Rule):]] {
					continue
				}
				t.Errorf("%s, unreported %v: %s", name, unreported, f.Text(true))
			}
			if diff := cmp.Diff(r.Beside, beside); diff != "" || len(beside) == 0 {
				t.Errorf("%s, unreported %v: chart and audit show different tables:\n%s", name, unreported, diff)
			}
		}
	}
}

// TestABundleWithoutItsCurvesStandsAndSaysSo: what was computed is taken as it stands.
func TestABundleWithoutItsCurvesStandsAndSaysSo(t *testing.T) {
	r := recomputing(t, "27-with-traces", false, false)
	if strings.Contains(string(r.Bundle), "valueSampledData") || !strings.Contains(string(r.Bundle), "curve-computation") {
		t.Error("the bundle has curves, or does not say that there were some")
	}
	found := audit.Check("bundle.json", r.Bundle, audit.Options{Beside: func([]derive.Beside) { t.Error("something was computed") }})
	if len(found) != 1 || found[0].Rule != "recomputed-no-curves" {
		t.Errorf("found are %v", found)
	}
}

// TestWhatIsRecomputedIsPreliminaryLocalAndSaysSo: nobody takes it for the monitor's.
func TestWhatIsRecomputedIsPreliminaryLocalAndSaysSo(t *testing.T) {
	r := recomputing(t, "27-with-traces", true, true)
	if r.Session.ReportStatus != record.Preliminary {
		t.Errorf("the report is %s", r.Session.ReportStatus)
	}
	text := string(r.Bundle)
	for _, code := range []string{"8737-9", "8751-0", "8771-8", "systemic-blood-flow"} {
		if strings.Contains(text, `"`+code+`"`) {
			t.Errorf("the bundle has the code %s", code)
		}
	}
	for _, words := range []string{
		"blood flow, recomputed from the curve", "RECOMPUTED FROM THE CURVES by this software, NOT SHOWN BY A MONITOR",
		"tested on simulated circulations only; check against the monitor and the patient.",
	} {
		if !strings.Contains(text, words) {
			t.Errorf("the bundle does not say %q", words)
		}
	}
}

// What was computed is judged by the same limits as what was reported, and the finding
// stands at the curve.
func TestAnImpossibleRecomputedFlowIsToldAtItsCurve(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(sheetFolder, "31-flow-from-curves.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	o := options(sheetFolder, nil)
	o.Site = siteThatRecomputes(t, measure.English)
	r := chart.Sheet("31.yaml", []byte(strings.ReplaceAll(string(text), "value: 3.00 kg", "value: 0.38 kg")), o)
	told := false
	for _, f := range r.Findings {
		told = told || f.Rule == "impossible-value" && f.Place.Line > 0 && strings.HasPrefix(f.Sentence(true), "blood flow, recomputed from the curves of injection 1, divided by body weight, is")
	}
	if !told || r.Bundle != nil {
		t.Errorf("charted %v, found are %v", r.Bundle != nil, r.Findings)
	}
}

// TestAWrongVolumeMakesNoPlainNumber: the venous sensor sees half of what the sheet states,
// and no monitor showed a flow. Sheet, record, conclusion and audit all say so.
func TestAWrongVolumeMakesNoPlainNumber(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(sheetFolder, "31-flow-from-curves.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	for l, want := range map[measure.Language]string{
		measure.English: "WITHHELD, the recording makes it doubtful. Injection 1: recomputed flow withheld (another volume at the venous sensor than is stated",
		measure.German:  "NICHT AUSGEGEBEN (Aufzeichnung zweifelhaft). Injektion 1: neu berechneter Fluss nicht ausgegeben (anderes Volumen am venösen Sensor als angegeben",
	} {
		o := options(sheetFolder, nil)
		o.Site, o.Curves = siteThatRecomputes(t, l), true
		r := chart.Sheet("31.yaml", []byte(strings.ReplaceAll(string(text), "volume: 2.5 mL", "volume: 5.0 mL")), o)
		if r.Bundle == nil {
			t.Fatal(r.Findings)
		}
		conclusion := strings.Join(mapping.Conclusion(r.Session, l), " ")
		if !strings.Contains(conclusion, want) || strings.Contains(conclusion, "L/min") {
			t.Errorf("the conclusion says %s", conclusion)
		}
		told := 0
		for _, f := range audit.Check("bundle.json", r.Bundle, audit.Options{Beside: func([]derive.Beside) {}}) {
			switch {
			case f.Rule == "venous-area-mismatch" && strings.Contains(f.Place.Pointer, "/entry/"):
				told++
			case f.Severity == finding.Error:
				t.Error(f.Text(true))
			}
		}
		if told != 2 {
			t.Errorf("the audit tells of the volume %d times", told)
		}
	}
}

// TestADuctIsSettledByCurvesWhereTheSiteLetsIt: the conclusion says what it rests on.
func TestADuctIsSettledByCurvesWhereTheSiteLetsIt(t *testing.T) {
	const name = "32-duct-beside-curves"
	for _, c := range []struct {
		settings *site.Settings
		label    string
		says     bool
	}{
		{options(sheetFolder, nil).Site, "not-determined", false},
		{siteThatRecomputes(t, measure.English), "Qs-RVO", true},
	} {
		r := underSite(t, c.settings, name)
		says := strings.Contains(string(r.Bundle), "Which flow it is was settled by a flow recomputed from the curves")
		if r.Glance().Flow != c.label || says != c.says {
			t.Errorf("the label is %s, want %s; the conclusion says so: %v", r.Glance().Flow, c.label, says)
		}
	}
}
