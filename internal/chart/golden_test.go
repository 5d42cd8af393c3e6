package chart_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saltmark/internal/audit"
	"saltmark/internal/chart"
	"saltmark/internal/finding"
	"saltmark/internal/site"
	"saltmark/internal/source"
	"saltmark/mapping"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

var update = flag.Bool("update", false, "rewrite the goldens")

const (
	sheetFolder  = "../../testdata/sheets"
	bundleFolder = "../../testdata/bundles"
)

// charted charts a demo sheet; those in series/ against the one before.
func charted(t testing.TB, path string, previous *record.Session) chart.Result {
	t.Helper()
	return chartedSaid(t, measure.English, path, previous)
}

func chartedSaid(t testing.TB, l measure.Language, path string, previous *record.Session) chart.Result {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	r := chart.Sheet(filepath.Base(path), text, optionsIn(l, filepath.Dir(path), previous))
	for _, f := range r.Findings {
		if f.Severity == finding.Error {
			t.Errorf("%s", f.Text(true))
		}
	}
	if r.Bundle == nil {
		t.Fatalf("%s was not charted", path)
	}
	return r
}

// options are those of the demo, the version of the program held fast.
func options(folder string, previous *record.Session) chart.Options {
	return optionsIn(measure.English, folder, previous)
}

func optionsIn(l measure.Language, folder string, previous *record.Session) chart.Options {
	settings := *site.Demo()
	settings.Language = l
	return chart.Options{
		Site:     &settings,
		Software: mapping.Software{Name: "saltmark", Version: "golden"},
		Previous: func(string) (*record.Session, error) { return previous, nil },
		Open:     func(name string) ([]byte, error) { return os.ReadFile(filepath.Join(folder, name)) },
		Curves:   true,
	}
}

// demoSheets gives every demo sheet, charted, in order; a series one after the
// other.
func demoSheets(t testing.TB) map[string]chart.Result {
	t.Helper()
	return demoSheetsIn(t, measure.English)
}

func demoSheetsIn(t testing.TB, l measure.Language) map[string]chart.Result {
	t.Helper()
	results := map[string]chart.Result{}
	for _, path := range sheetsIn(t, sheetFolder) {
		results[strings.TrimSuffix(filepath.Base(path), ".yaml")] = chartedSaid(t, l, path, nil)
	}
	var previous *record.Session
	for _, path := range sheetsIn(t, filepath.Join(sheetFolder, "series")) {
		r := chartedSaid(t, l, path, previous)
		results["series-"+strings.TrimSuffix(filepath.Base(path), ".yaml")] = r
		read, found := mapping.Read(path, r.Bundle)
		if found.HasErrors() {
			t.Fatal(found)
		}
		previous = read
	}
	for _, name := range []string{"05-preterm-foramen", "07-foramen-right-to-left-duct-left-to-right"} {
		results["codings-"+name] = withCodings(t, l, name)
	}
	for _, name := range []string{"31-flow-from-curves", "32-duct-beside-curves"} {
		results["recomputing/"+name] = underSite(t, siteThatRecomputes(t, l), name)
	}
	return results
}

// siteThatRecomputes gives the demo settings, under which recomputed values may be charted
// and settle labels.
func siteThatRecomputes(t testing.TB, l measure.Language) *site.Settings {
	t.Helper()
	text, err := os.ReadFile("../site/demo.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"chart", "settle-label"} {
		off := []byte(key + `: {value: "no"`)
		if !bytes.Contains(text, off) {
			t.Fatalf("the demo settings have no %s", off)
		}
		text = bytes.Replace(text, off, []byte(key+`: {value: "yes"`), 1)
	}
	doc, found := source.ReadYAML("site.yaml", text, source.SheetLimits())
	settings, more := site.Read(doc)
	if found.HasErrors() || more.HasErrors() {
		t.Fatal(found, more)
	}
	settings.Language = l
	return settings
}

// withCodings charts a demo sheet for a site that adds codings of its own and SNOMED
// CT: with and without the output of the left ventricle in its label.
func withCodings(t testing.TB, l measure.Language, name string) chart.Result {
	t.Helper()
	settings := siteWithCodings(t)
	settings.Language = l
	return underSite(t, settings, name)
}

// underSite charts a demo sheet under settings of its own.
func underSite(t testing.TB, settings *site.Settings, name string) chart.Result {
	t.Helper()
	path := filepath.Join(sheetFolder, name+".yaml")
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	o := options(sheetFolder, nil)
	o.Site = settings
	r := chart.Sheet(filepath.Base(path), text, o)
	if r.Findings.HasErrors() || r.Bundle == nil {
		t.Fatalf("%s was not charted: %v", path, r.Findings)
	}
	return r
}

// siteWithCodings gives the demo settings with the codings of testdata/sites.
func siteWithCodings(t testing.TB) *site.Settings {
	t.Helper()
	var text []byte
	for _, path := range []string{"../site/demo.yaml", "../../testdata/sites/codings.yaml"} {
		part, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		text = append(text, part...)
	}
	text = bytes.Replace(text, []byte("\nwrite:\n"), []byte("\nwrite:\n  snomed: \"yes\"\n"), 1)
	doc, found := source.ReadYAML("site.yaml", text, source.SheetLimits())
	settings, more := site.Read(doc)
	if found.HasErrors() || more.HasErrors() {
		t.Fatal(found, more)
	}
	return settings
}

func sheetsIn(t testing.TB, folder string) []string {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(folder, "*.yaml"))
	if err != nil || len(paths) == 0 {
		t.Fatalf("no sheets in %s: %v", folder, err)
	}
	return paths
}

func TestDemoSheetsGiveTheirGoldenBundles(t *testing.T) {
	results := demoSheets(t)
	for name, r := range results {
		compareGolden(t, filepath.Join(bundleFolder, name+".json"), indented(t, r.Bundle))
	}
	golden, err := filepath.Glob(filepath.Join(bundleFolder, "*.json"))
	more, err2 := filepath.Glob(filepath.Join(bundleFolder, "recomputing", "*.json"))
	if golden = append(golden, more...); err != nil || err2 != nil || len(golden) != len(results) {
		t.Errorf("%d goldens for %d sheets", len(golden), len(results))
	}
}

func indented(t *testing.T, bundle []byte) string {
	t.Helper()
	var shown bytes.Buffer
	if err := json.Indent(&shown, bundle, "", " "); err != nil {
		t.Fatal(err)
	}
	return shown.String() + "\n"
}

// compareGolden compares a text with the golden of a path, or makes it that.
func compareGolden(t *testing.T, path, text string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(text, "\n")); diff != "" {
		t.Errorf("%s (-golden +now):\n%s", path, diff)
	}
}

func TestGoldenBundlesAuditClean(t *testing.T) {
	for name, r := range demoSheets(t) {
		for _, f := range audit.Check(name+".json", r.Bundle, audit.Options{}) {
			t.Errorf("%s: %s", name, f.Text(true))
		}
	}
}

func TestTheSameSheetGivesTheSameBytes(t *testing.T) {
	first, second := demoSheets(t), demoSheets(t)
	for name := range first {
		if !bytes.Equal(first[name].Bundle, second[name].Bundle) {
			t.Errorf("%s differs from run to run", name)
		}
	}
}

// A search by the published code of left ventricular output gives one Observation
// in each session whose label contains LVO and that no unanswered sign blocks, and
// none in any other; by systemic-blood-flow one where the label contains Qs. A flow
// that was recomputed from the curves has neither.
func TestOneFlowIsFoundByItsCodeWhereTheLabelAllows(t *testing.T) {
	seen := map[bool]int{}
	for name, r := range demoSheets(t) {
		flow := r.Session.Find(record.TheSession, "blood-flow", record.Derived)
		if flow == nil {
			t.Fatalf("%s has no flow of the session", name)
		}
		blocked := r.Session.Code(record.TheSession, "sign-contradicts") == "unanswered"
		recomputed := r.Session.Code(record.TheSession, "recomputed-agreement") == "only-recomputed"
		left := flow.Label.Flows.Contains(measure.LVO) && !blocked && !recomputed
		seen[left]++
		if got, want := countCode(t, r.Bundle, "http://loinc.org", "8737-9"), btoi(left); got != want {
			t.Errorf("%s (%s): %d Observations under 8737-9, want %d", name, flow.Label.Code(), got, want)
		}
		if got, want := countCode(t, r.Bundle, measure.DefaultBase+measure.MeasureCodes, "systemic-blood-flow"), btoi(flow.Label.Flows.Contains(measure.Qs) && !recomputed); got != want {
			t.Errorf("%s (%s): %d Observations under systemic-blood-flow, want %d", name, flow.Label.Code(), got, want)
		}
	}
	if seen[true] < 5 || seen[false] < 5 {
		t.Errorf("the demo has %d sheets with and %d without left ventricular output; both kinds are wanted", seen[true], seen[false])
	}
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// countCode counts the Observations whose code has a coding, as a search does.
func countCode(t *testing.T, bundle []byte, system, code string) int {
	t.Helper()
	doc, found := source.ReadJSON("", bundle, source.ResourceLimits())
	if found.HasErrors() {
		t.Fatal(found)
	}
	n := 0
	for _, e := range doc.Root.Get("entry").Items {
		r := e.Get("resource")
		if r.Get("resourceType").Text != "Observation" {
			continue
		}
		for _, c := range r.Get("code").Get("coding").Items {
			if c.Get("system").Text == system && c.Get("code").Text == code {
				n++
			}
		}
	}
	return n
}

func TestBundlesStayLean(t *testing.T) {
	results := demoSheets(t)
	for name, most := range map[string]int{"23-three-injections-plain": 50, "22-full": 75} {
		r, ok := results[name]
		if !ok {
			t.Fatalf("no sheet %s", name)
		}
		if n := bytes.Count(r.Bundle, []byte(`"fullUrl"`)); n > most {
			t.Errorf("%s has %d entries, at most %d are wanted", name, n, most)
		}
	}
}
