package chart_test

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saltmark/internal/audit"
	"saltmark/internal/chart"
	"saltmark/internal/finding"
	"saltmark/mapping"
	"saltmark/mapping/record"
)

const formFolder = "../../testdata/forms"

// way is a form with a mode; the name stands in the names of goldens.
type way struct {
	name string
	form mapping.Form
	mode mapping.Mode
}

var (
	byID       = way{"by-id", mapping.Transaction, mapping.ByID}
	createOnce = way{"create-once", mapping.Transaction, mapping.CreateOnce}
	collection = way{"collection", mapping.Collection, ""}
	document   = way{"document", mapping.Document, ""}
	ndjson     = way{"ndjson", mapping.NDJSON, ""}
	everyWay   = []way{byID, createOnce, collection, document, ndjson}
)

// formGoldens are the sheets whose bundles are kept in other forms: the plain one in
// every way; the others where a form shows something of its own.
var formGoldens = []struct {
	sheet string
	ways  []way
}{
	{"01-plain-infant", everyWay},
	{"22-full", []way{document, ndjson}},
	{"27-with-traces", []way{document}},
	{"29-never-measured", []way{document}},
	{"series-1-preliminary", []way{document}},
	{"series-3-corrected", []way{byID, document}},
	{"series-4-withdrawn", []way{collection, document, ndjson}},
}

// chartedIn charts a demo sheet in another form; a series up to the sheet.
func chartedIn(t testing.TB, name string, w way) chart.Result {
	t.Helper()
	number, series := strings.CutPrefix(name, "series-")
	if !series {
		return chartIn(t, filepath.Join(sheetFolder, name+".yaml"), nil, w)
	}
	var previous *record.Session
	for _, path := range sheetsIn(t, filepath.Join(sheetFolder, "series")) {
		r := chartIn(t, path, previous, w)
		if strings.TrimSuffix(filepath.Base(path), ".yaml") == number {
			return r
		}
		read, found := mapping.Read(path, r.Bundle)
		if found.HasErrors() {
			t.Fatal(found)
		}
		previous = read
	}
	t.Fatalf("no sheet %s", name)
	return chart.Result{}
}

func chartIn(t testing.TB, path string, previous *record.Session, w way) chart.Result {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	o := options(filepath.Dir(path), previous)
	o.Form, o.Mode = w.form, w.mode
	r := chart.Sheet(filepath.Base(path), text, o)
	for _, f := range r.Findings {
		if f.Severity == finding.Error {
			t.Errorf("%s in the form %s: %s", path, w.name, f.Text(true))
		}
	}
	if r.Bundle == nil {
		t.Fatalf("%s was not charted", path)
	}
	return r
}

// shownIn gives a bundle as its golden holds it: lines as they are.
func shownIn(t testing.TB, bundle []byte, w way) (text []byte, ending string) {
	if w.form == mapping.NDJSON {
		return append(bytes.Clone(bundle), '\n'), ".ndjson"
	}
	var shown bytes.Buffer
	if err := json.Indent(&shown, bundle, "", " "); err != nil {
		t.Fatal(err)
	}
	shown.WriteByte('\n')
	return shown.Bytes(), "." + w.name + ".json"
}

func TestDemoSheetsGiveTheirGoldensInEachForm(t *testing.T) {
	kept := 0
	for _, g := range formGoldens {
		for _, w := range g.ways {
			kept++
			text, ending := shownIn(t, chartedIn(t, g.sheet, w).Bundle, w)
			path := filepath.Join(formFolder, g.sheet+ending)
			if *update {
				if err := os.WriteFile(path, text, 0o644); err != nil {
					t.Fatal(err)
				}
				continue
			}
			want, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(string(text), "\n")); diff != "" {
				t.Errorf("%s (-golden +now):\n%s", path, diff)
			}
		}
	}
	if golden, err := filepath.Glob(filepath.Join(formFolder, "*.*json")); err != nil || len(golden) != kept {
		t.Errorf("%d goldens for %d forms of sheets", len(golden), kept)
	}
}

// The bytes that a form gives are clean, and hold the session that the transaction
// holds.
func TestEveryFormOfADemoSheetAuditsCleanAndHoldsTheSameSession(t *testing.T) {
	for _, g := range formGoldens {
		want := chartedIn(t, g.sheet, way{"transaction", mapping.Transaction, ""}).Session
		for _, w := range g.ways {
			r := chartedIn(t, g.sheet, w)
			for _, f := range audit.CheckText(g.sheet, r.Bundle, w.form, audit.Options{}) {
				t.Errorf("%s in the form %s: %s", g.sheet, w.name, f.Text(true))
			}
			got, found := mapping.Read(g.sheet, r.Bundle)
			if len(found) > 0 {
				t.Fatal(found)
			}
			if len(got.Facts) < len(want.Facts) || got.ReportStatus != want.ReportStatus || got.Patient != want.Patient {
				t.Errorf("%s in the form %s: %d facts of %d, %s, %v", g.sheet, w.name, len(got.Facts), len(want.Facts), got.ReportStatus, got.Patient)
			}
		}
	}
}

func TestWhatCannotBeCreatedOnceIsRefusedAtItsPlaceInTheSheet(t *testing.T) {
	path := filepath.Join(sheetFolder, "09-stale-echo.yaml")
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	o := options(sheetFolder, nil)
	o.Mode = mapping.CreateOnce
	r := chart.Sheet("sheet.yaml", text, o)
	if r.Bundle != nil {
		t.Error("it was charted all the same")
	}
	for _, f := range r.Findings {
		if f.Rule == "create-once-unfinished" && f.Place.Line > 0 {
			return
		}
	}
	t.Error(r.Findings)
}

// What is found in a line is traced back to the sheet, as what is found in a bundle.
func TestFindingsInLinesHaveTheirPlaceInTheSheet(t *testing.T) {
	r := chartedIn(t, "01-plain-infant", ndjson)
	line := 1 + bytes.Count(r.Bundle[:bytes.Index(r.Bundle, []byte("demo-2031-0001/session/weight/stated"))], []byte("\n"))
	found := finding.List{finding.New("derived-value", finding.Place{Line: line, Pointer: "/valueQuantity"}, "", "", "")}
	found = chart.WithOrigins(found, r.Bundle, mapping.NDJSON, r.Session.Places)
	if found[0].Origin.Line == 0 || found[0].Origin.File != "01-plain-infant.yaml" {
		t.Errorf("%+v", found[0].Origin)
	}
}

func TestOptionsTellInWhichFormTheyWrite(t *testing.T) {
	o := options(sheetFolder, nil)
	if form, err := o.Writes(); form != mapping.Transaction || err != nil {
		t.Error(form, err)
	}
	o.Form, o.Mode = mapping.Document, mapping.ByID
	if form, err := o.Writes(); form != mapping.Document || err == nil || !strings.Contains(err.Error(), "by-id") || !strings.Contains(err.Error(), "document") {
		t.Error(form, err)
	}
}
