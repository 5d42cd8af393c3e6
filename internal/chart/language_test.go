package chart_test

import (
	"bytes"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"saltmark/internal/audit"
	"saltmark/internal/chart"
	"saltmark/internal/source"
	"saltmark/mapping"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// tellingInGerman are the sheets whose German bundles are kept, each for what no
// other has; the conclusions of all stand in testdata/conclusions.md.
var tellingInGerman = map[string]string{
	"01-plain-infant":             "every flow the same, verified",
	"03-term-duct-area-counted":   "what it is NOT, withheld values, not yet verified",
	"09-stale-echo":               "no flow named, an old look, preliminary",
	"12-sign-against-stated-none": "a contradiction",
	"16-no-agreeing-pair":         "no value, single ones",
	"22-full":                     "every part of a sheet",
	"26-below-range":              "what the monitor did not show",
	"series-3-corrected":          "a correction",
	"series-4-withdrawn":          "taken back",
}

func TestTellingSheetsGiveTheirGoldenBundlesInGerman(t *testing.T) {
	results := demoSheetsIn(t, measure.German)
	for name := range tellingInGerman {
		r, there := results[name]
		if !there {
			t.Fatalf("no sheet %s", name)
		}
		compareGolden(t, filepath.Join(bundleFolder, "de", name+".json"), indented(t, r.Bundle))
	}
	if golden, err := filepath.Glob(filepath.Join(bundleFolder, "de", "*.json")); err != nil || len(golden) != len(tellingInGerman) {
		t.Errorf("%d goldens for %d sheets", len(golden), len(tellingInGerman))
	}
}

// The conclusions of all sheets, both languages side by side, for one reading.
func TestConclusionsOfAllDemoSheets(t *testing.T) {
	english, german := demoSheets(t), demoSheetsIn(t, measure.German)
	var b strings.Builder
	b.WriteString("# Conclusions of the demo sheets\n\n" +
		"Made by `go test ./internal/chart -update`. Everything here is invented. What people\n" +
		"wrote on the sheet (reasons) stays in their language.\n")
	for _, name := range slices.Sorted(maps.Keys(english)) {
		if strings.HasPrefix(name, "codings-") { // says the same as without
			continue
		}
		fmt.Fprintf(&b, "\n## %s\n\n%s\n\n%s\n", name, conclusionIn(t, english[name].Bundle), conclusionIn(t, german[name].Bundle))
	}
	compareGolden(t, "../../testdata/conclusions.md", b.String())
}

// conclusionIn gives the conclusion of the report in a bundle.
func conclusionIn(t *testing.T, bundle []byte) string {
	t.Helper()
	for _, e := range treeOf(t, bundle).Get("entry").Items {
		if c := e.Get("resource").Get("conclusion"); c != nil {
			return c.Text
		}
	}
	t.Fatal("no conclusion")
	return ""
}

func treeOf(t *testing.T, bundle []byte) *source.Node {
	t.Helper()
	doc, found := source.ReadJSON("", bundle, source.ResourceLimits())
	if found.HasErrors() {
		t.Fatal(found)
	}
	return doc.Root
}

func TestGermanBundlesAuditClean(t *testing.T) {
	for name, r := range demoSheetsIn(t, measure.German) {
		for _, f := range audit.Check(name+".json", r.Bundle, audit.Options{}) {
			t.Errorf("%s: %s", name, f.Text(true))
		}
	}
}

// A bundle is read by its codes, never by its words.
func TestABundleOfEitherLanguageGivesTheSameSession(t *testing.T) {
	english, german := demoSheets(t), demoSheetsIn(t, measure.German)
	for name := range english {
		a, found := mapping.Read(name, english[name].Bundle)
		b, found2 := mapping.Read(name, german[name].Bundle)
		if len(found)+len(found2) > 0 {
			t.Fatal(name, found, found2)
		}
		if diff := cmp.Diff(a, b, cmpopts.IgnoreFields(record.Session{}, "Places")); diff != "" {
			t.Errorf("%s:\n%s", name, diff)
		}
	}
}

// Every form says all in the language of the site: written anew in it, it is the same;
// and one word of another language is found, in a line of NDJSON too. Where the report
// names the wrong language, this is told once, and one text in that language beside it.
func TestEveryFormIsInOneLanguage(t *testing.T) {
	path := filepath.Join(sheetFolder, "01-plain-infant.yaml")
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, w := range everyWay {
		o := optionsIn(measure.German, sheetFolder, nil)
		o.Form, o.Mode = w.form, w.mode
		bundle := chart.Sheet(path, text, o).Bundle
		for _, f := range audit.CheckText("german", bundle, w.form, audit.Options{}) {
			t.Errorf("%s: %s", w.name, f.Text(true))
		}
		mixed := bytes.Replace(bundle, []byte(`"text":"zentrales Blutvolumen"`), []byte(`"text":"central blood volume"`), 1)
		found := audit.CheckText("mixed", mixed, w.form, audit.Options{})
		if bytes.Equal(mixed, bundle) || len(found) != 1 || found[0].Rule != "language-mixed" {
			t.Errorf("%s with an English word: %v", w.name, found)
		}
		for told, b := range [][]byte{bundle, mixed} {
			report := bytes.Index(b, []byte(`"resourceType":"DiagnosticReport"`))
			misnamed := append(b[:report:report], bytes.Replace(b[report:], []byte(`"language":"de"`), []byte(`"language":"en"`), 1)...)
			found := audit.CheckText("misnamed", misnamed, w.form, audit.Options{})
			if bytes.Equal(misnamed, b) || len(found) != told+1 || !strings.HasSuffix(found[told].Place.Pointer, "/language") {
				t.Errorf("%s whose report says that it is in English, with %d texts that are: %v", w.name, told, found)
			}
			for _, f := range found {
				if f.Rule != "language-mixed" {
					t.Errorf("%s: %s", w.name, f.Text(true))
				}
			}
		}
	}
	document := chart.Sheet(path, text, func() chart.Options {
		o := optionsIn(measure.German, sheetFolder, nil)
		o.Form = mapping.Document
		return o
	}()).Bundle
	for _, want := range []string{
		`"title":"Dokument über eine Messung des Herzzeitvolumens, 2031-05-03 14:20"`, `"title":"Injektionen des Indikators"`,
		`"resourceType":"Composition"`, ", endgültig</p>", "Ductusebene: Zustand: geschlossen",
	} {
		if !bytes.Contains(document, []byte(want)) {
			t.Errorf("the document lacks %s", want)
		}
	}
}

// "Kein Befund" is read on a ward as "nothing found", so a missing look is never called
// that: it is a Beurteilung, or nicht beurteilt.
func TestGermanNeverSaysKeinBefundOfAMissingLook(t *testing.T) {
	for name, r := range demoSheetsIn(t, measure.German) {
		if bytes.Contains(bytes.ToLower(r.Bundle), []byte("befund")) {
			t.Errorf("%s says Befund", name)
		}
	}
}

// A site may change its language between two revisions: nothing was corrected by that.
func TestAnotherLanguageIsNoCorrection(t *testing.T) {
	path := filepath.Join(sheetFolder, "series", "2-final.yaml")
	previous, found := mapping.Read("", charted(t, filepath.Join(sheetFolder, "series", "1-preliminary.yaml"), nil).Bundle)
	if found.HasErrors() {
		t.Fatal(found)
	}
	english, german := charted(t, path, previous), chartedSaid(t, measure.German, path, previous)
	if diff := cmp.Diff(english.Session, german.Session); diff != "" {
		t.Error(diff)
	}
}

// wordPlaces are the elements that hold our words, and those in which a bundle says
// its language and its settings.
var wordPlaces = regexp.MustCompile(`/(text|div|conclusion|data|language)$`)

// Languages differ in words alone: no element comes or goes, and no code, number,
// unit, time or identity is another. In the words the same numbers stand.
func TestLanguagesDifferInWordsAlone(t *testing.T) {
	english, german := demoSheets(t), demoSheetsIn(t, measure.German)
	for name := range english {
		settings := map[string]bool{}
		differing := 0
		eachDifference(treeOf(t, english[name].Bundle), treeOf(t, german[name].Bundle), "", func(pointer, en, de string) {
			if len(en) == 64 && len(de) == 64 && !strings.Contains(en, " ") { // the SHA-256 of the settings, and the digest of the facts, which is of it too
				settings[de] = true
				return
			}
			differing++
			if !wordPlaces.MatchString(pointer) {
				t.Errorf("%s: %s is %q and %q", name, pointer, en, de)
			}
			if a, b := numbersIn(en), numbersIn(de); !strings.HasSuffix(pointer, "/data") && !slices.Equal(a, b) {
				t.Errorf("%s: %s has the numbers %v and %v", name, pointer, a, b)
			}
		})
		if len(settings) != 2 || differing < 20 {
			t.Errorf("%s: %d hashes and %d texts differ", name, len(settings), differing)
		}
	}
}

func eachDifference(a, b *source.Node, pointer string, tell func(pointer, a, b string)) {
	if a.Text != b.Text {
		tell(pointer, a.Text, b.Text)
	}
	if a.Kind != b.Kind || len(a.Items) != len(b.Items) || len(a.Members) != len(b.Members) {
		tell(pointer, "another form", "")
		return
	}
	for i := range a.Items {
		eachDifference(a.Items[i], b.Items[i], fmt.Sprintf("%s/%d", pointer, i), tell)
	}
	for i := range a.Members {
		if a.Members[i].Name != b.Members[i].Name {
			tell(pointer, a.Members[i].Name, b.Members[i].Name)
			return
		}
		eachDifference(a.Members[i].Value, b.Members[i].Value, pointer+"/"+a.Members[i].Name, tell)
	}
}

var number = regexp.MustCompile(`[0-9][0-9.:-]*[0-9]|[0-9]`)

func numbersIn(text string) []string {
	numbers := number.FindAllString(text, -1)
	slices.Sort(numbers)
	return numbers
}
