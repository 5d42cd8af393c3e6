package review_test

import (
	"encoding/xml"
	"errors"
	"io"
	"os"
	"regexp"
	"strings"
	"testing"

	"saltmark/internal/review"
	"saltmark/internal/site"
	"saltmark/internal/source"
	"saltmark/mapping/measure"
)

// ourSite gives settings that differ from the demo in every way that the page marks:
// German, SNOMED CT, codings, a limit, a tolerance, and names that look like markup.
func ourSite(t *testing.T) *site.Settings {
	t.Helper()
	var text string
	for _, path := range []string{"../site/demo.yaml", "../../testdata/sites/codings.yaml"} {
		part, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		text += string(part)
	}
	text += "plausible:\n  - {rule: plausible-heart-rate, of: heart-rate, high: 300 /min, source: \"</td><script>alert(1)</script>\"}\n"
	for from, to := range map[string]string{
		"\nname: \"Invented":             "\nname: \"<b>Invented</b>",
		"\nwrite:\n":                     "\nwrite:\n  snomed: \"yes\"\n",
		"\nlanguage: en":                 "\nlanguage: de",
		"tolerance: {value: \"10 %\"":    "tolerance: {value: \"12 %\"",
		"display: central blood volume}": "display: \"central <i>blood\u202e</i> volume\"}",
	} {
		if !strings.Contains(text, from) {
			t.Fatalf("the settings have no %q", from)
		}
		text = strings.Replace(text, from, to, 1)
	}
	doc, found := source.ReadYAML("site.yaml", []byte(text), source.SheetLimits())
	settings, more := site.Read(doc)
	if found.HasErrors() || more.HasErrors() {
		t.Fatal(found, more)
	}
	return settings
}

func pageOf(t *testing.T, settings *site.Settings) string {
	t.Helper()
	return written(t, review.Of(settings, "1.2.3"), review.HTML)
}

// element is a start of an element with its attributes.
type element struct {
	name string
	has  map[string]string
}

// elementsOf reads the page as HTML and gives its elements; what is not closed, or
// closed in another order, fails.
func elementsOf(t *testing.T, page string) []element {
	t.Helper()
	// The text of a style is no markup.
	page = regexp.MustCompile(`(?s)<style>.*?</style>`).ReplaceAllString(page, "<style></style>")
	d := xml.NewDecoder(strings.NewReader(page))
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	var all []element
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return all
		}
		if err != nil {
			t.Fatal(err)
		}
		if start, ok := token.(xml.StartElement); ok {
			e := element{start.Name.Local, map[string]string{}}
			for _, a := range start.Attr {
				if _, twice := e.has[a.Name.Local]; twice {
					t.Errorf("%s has %s twice", e.name, a.Name.Local)
				}
				e.has[a.Name.Local] = a.Value
			}
			all = append(all, e)
		}
	}
}

func TestThePageIsOneFileThatStandsAlone(t *testing.T) {
	page := pageOf(t, ourSite(t))
	for _, e := range elementsOf(t, page) {
		switch e.name {
		case "script", "link", "img", "iframe", "object", "form", "b", "i":
			t.Errorf("the page has an element %s", e.name)
		}
		for name, value := range e.has {
			if name == "src" || name == "href" && !strings.HasPrefix(value, "#") || strings.HasPrefix(name, "on") || name == "style" {
				t.Errorf("%s has %s=%q", e.name, name, value)
			}
		}
	}
	if regexp.MustCompile(`@import|url\(`).MatchString(page) {
		t.Error("the style wants another file")
	}
	if strings.Contains(page, "ZgotmplZ") {
		t.Error("the template refused a value")
	}
}

// What a reader who does not see the page needs: a language, headings in order, heads
// of tables with a scope, a name for each field, a target for each link.
func TestThePageCanBeReadWithoutSeeingIt(t *testing.T) {
	ids := map[string]bool{}
	level, titles := 0, 0
	var refers []string
	for _, e := range elementsOf(t, pageOf(t, ourSite(t))) {
		if id, ok := e.has["id"]; ok {
			if ids[id] {
				t.Errorf("the id %s is there twice", id)
			}
			ids[id] = true
		}
		switch e.name {
		case "html":
			if e.has["lang"] != "en" {
				t.Error("the page has no language")
			}
		case "h1", "h2", "h3":
			now := int(e.name[1] - '0')
			if now > level+1 {
				t.Errorf("%s follows a heading of level %d", e.name, level)
			}
			level = now
			if now == 1 {
				titles++
			}
		case "th":
			if e.has["scope"] == "" {
				t.Error("a head of a table has no scope")
			}
		case "a":
			refers = append(refers, strings.TrimPrefix(e.has["href"], "#"))
		case "section":
			refers = append(refers, e.has["aria-labelledby"])
		case "input", "textarea":
			if e.has["name"] == "" {
				t.Errorf("a field has no name: %v", e.has)
			}
		}
	}
	if titles != 1 {
		t.Errorf("%d headings of the first level", titles)
	}
	for _, id := range refers {
		if !ids[id] {
			t.Errorf("nothing has the id %q", id)
		}
	}
}

func TestThePageAsksForADecisionOnEveryMeasure(t *testing.T) {
	asked := map[string]int{}
	for _, e := range elementsOf(t, pageOf(t, site.Demo())) {
		if e.name == "input" || e.name == "textarea" {
			asked[e.has["name"]+" "+e.has["value"]]++
		}
	}
	for i := range measure.All() {
		key := measure.All()[i].Key
		for _, field := range []string{"decision-" + key + " accept", "decision-" + key + " change", "decision-" + key + " reject", "remark-" + key + " ", "by-" + key + " "} {
			if asked[field] != 1 {
				t.Errorf("the field %s is there %d times", field, asked[field])
			}
		}
	}
	for _, field := range []string{"decision accept", "decision change", "decision reject", "remarks ", "reviewer-1 ", "date-1 ", "vote-1 "} {
		if asked[field] != 1 {
			t.Errorf("the field %s is there %d times", field, asked[field])
		}
	}
}

func TestThePageMarksInWordsWhatTheSiteChanged(t *testing.T) {
	settings := ourSite(t)
	page := pageOf(t, settings)
	for _, want := range []string{
		`<span class="mark">changed by the site, default 40 to 250 /min</span>`,
		`<span class="mark">added by the site</span>`,
		`&lt;b&gt;Invented&lt;/b&gt;`,
		`&lt;script&gt;alert(1)&lt;/script&gt;`,
		`central &lt;i&gt;blood[U&#43;202E]&lt;/i&gt; volume`,
		`<span lang="de">Blutfluss</span>`,
		`SNOMED CT <code>83330001</code> Patent ductus arteriosus (disorder)`,
		`label contains Qs, blood flow to the body`,
		settings.Hash(), measure.TableHash(), "saltmark 1.2.3",
		"Local protocols and licensed practice come first",
	} {
		if !strings.Contains(page, want) {
			t.Errorf("the page has no %s", want)
		}
	}
	demo := pageOf(t, site.Demo())
	for _, not := range []string{`lang="de"`, "by the site</span>", `<td><span class="mark">`, "SNOMED CT <code>"} {
		if strings.Contains(demo, not) {
			t.Errorf("the page of the demo has %s", not)
		}
	}
	if !strings.Contains(demo, "these are the demo settings") {
		t.Error("the page of the demo does not say what it is of")
	}
}

func TestAPageOfASelectionSaysThatItIsNotAll(t *testing.T) {
	m, _ := review.Of(site.Demo(), "1.2.3").Select([]string{"blood-flow"})
	if page := written(t, m, review.HTML); !strings.Contains(page, "This page does not review the whole mapping") {
		t.Error("the page passes for a review of the whole mapping")
	}
}

func TestTheSamePageHasTheSameBytes(t *testing.T) {
	first, second := pageOf(t, ourSite(t)), pageOf(t, ourSite(t))
	if first != second {
		t.Error("the page differs from run to run")
	}
}
