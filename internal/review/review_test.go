package review_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saltmark/internal/review"
	"saltmark/internal/site"
	"saltmark/internal/source"
	"saltmark/mapping/measure"
)

var update = flag.Bool("update", false, "rewrite the goldens")

// hash is a SHA-256 in hex. Goldens leave it out: it changes with any row and any
// setting.
var hash = regexp.MustCompile(`[0-9a-f]{64}`)

// shown gives the mapping of the demo settings in a format.
func shown(t *testing.T, format review.Format, words ...string) string {
	t.Helper()
	m, missed := review.Of(site.Demo(), "golden").Select(words)
	if missed != "" {
		t.Fatalf("no measure has %q", missed)
	}
	return written(t, m, format)
}

func written(t *testing.T, m review.Mapping, format review.Format) string {
	t.Helper()
	var b bytes.Buffer
	if err := m.Write(&b, format); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// telling are words for rows that show each part of a row.
var telling = []string{"8737-9", "weight-used", "ductal-state", "109071", "fluid-given-by-weight", "agreement-tolerance"}

func TestEachFormatGivesItsGolden(t *testing.T) {
	for format, file := range map[review.Format]string{
		review.Text: "telling.txt", review.JSON: "telling.json", review.Markdown: "telling.md",
	} {
		got := hash.ReplaceAllString(shown(t, format, telling...), "(a SHA-256)")
		path := filepath.Join("testdata", file)
		if *update {
			if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
			continue
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(got, "\n")); diff != "" {
			t.Errorf("%s (-golden +now):\n%s", file, diff)
		}
	}
}

func TestEveryFormatShowsEveryMeasure(t *testing.T) {
	for _, format := range review.Formats() {
		text := shown(t, review.Format(format))
		for i := range measure.All() {
			if key := measure.All()[i].Key; !strings.Contains(text, key) {
				t.Errorf("%s: nothing of %s", format, key)
			}
		}
	}
}

// Everything that the table says of a code stands in the form for programs, each thing
// with its own code.
func TestTheFormForProgramsHoldsEveryLocalCode(t *testing.T) {
	var d struct {
		Measures []struct {
			Key     string
			Codings []struct{ System, Code, When, Thing string }
		}
	}
	if err := json.Unmarshal([]byte(shown(t, review.JSON)), &d); err != nil {
		t.Fatal(err)
	}
	written := map[string]bool{}
	for _, m := range d.Measures {
		if len(m.Codings) == 0 {
			t.Errorf("%s has no coding", m.Key)
		}
		for _, c := range m.Codings {
			if c.System == "" || c.Code == "" || strings.Contains(c.Code, "{") {
				t.Errorf("%s has the coding %+v", m.Key, c)
			}
			written[c.Code] = true
		}
	}
	for i := range measure.All() {
		m := &measure.All()[i]
		for _, about := range m.About {
			for _, thing := range measure.ThingsOf(about) {
				if code := m.LocalCode(about, thing); !written[code] {
					t.Errorf("%s: the code %s is not shown", m.Key, code)
				}
			}
		}
		for _, w := range m.Codes {
			if w.Local != "" && !written[w.Local] || w.LOINC != "" && !written[w.LOINC] {
				t.Errorf("%s: a code under the condition %s is not shown", m.Key, w.When)
			}
		}
	}
}

func TestWhatASiteChangedIsShownSo(t *testing.T) {
	text, err := os.ReadFile("../site/demo.yaml")
	if err != nil {
		t.Fatal(err)
	}
	changed := strings.Replace(string(text), "oxygen:", "plausible:\n  - {rule: plausible-heart-rate, of: heart-rate, high: 300 /min, source: \"local \u202etext\"}\noxygen:", 1)
	doc, _ := source.ReadYAML("site.yaml", []byte(changed), source.SheetLimits())
	settings, list := site.Read(doc)
	if list.HasErrors() {
		t.Fatal(list)
	}
	m, _ := review.Of(settings, "golden").Select([]string{"heart-rate-at-injection"})
	got := written(t, m, review.JSON)
	for _, want := range []string{`"high": "300"`, `"changedBySite": true`, `local [U+202E]text`} {
		if !strings.Contains(got, want) {
			t.Errorf("no %s in\n%s", want, got)
		}
	}
}

func TestWhatASiteAddedIsShownSo(t *testing.T) {
	m, missed := review.Of(ourSite(t), "golden").Select([]string{"FLOW-LOOP"})
	if missed != "" || len(m.Rows) != 1 || m.Rows[0].Key != "loop-flow" {
		t.Fatalf("missed %q, rows %v", missed, m.Rows)
	}
	for format, want := range map[review.Format]string{
		review.Text:     `https://codes.hospital.example/flowsheet FLOW-LOOP "flow through the loop", added by the site`,
		review.JSON:     `"addedBySite": true`,
		review.Markdown: "FLOW-LOOP",
	} {
		if got := written(t, m, format); !strings.Contains(got, want) {
			t.Errorf("%s: no %s in\n%s", format, want, got)
		}
	}
}

func TestASelectionThatMissesNamesTheWord(t *testing.T) {
	if _, missed := review.Of(site.Demo(), "").Select([]string{"blood", "nothing-like-it"}); missed != "nothing-like-it" {
		t.Errorf("missed %q", missed)
	}
	if near := review.Nearest("strok-volume"); near != "stroke-volume" {
		t.Errorf("nearest is %q", near)
	}
}
