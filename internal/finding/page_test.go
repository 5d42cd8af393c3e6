package finding

import (
	"regexp"
	"slices"
	"strings"
	"testing"
)

func TestEveryRuleHasAWholePage(t *testing.T) {
	mends := map[string]string{}
	for _, r := range Rules() {
		p, err := readPage(r.further)
		if err != nil {
			t.Errorf("rules.md: %s: %v", r.ID, err)
			continue
		}
		for part, words := range map[string]string{"Why": p.Why, "Source": p.Source, "Mend": p.Mend} {
			switch {
			case part == "Mend" && p.MendAs != "" && words == "":
			case !strings.HasSuffix(words, ".") && part != "Source", len(words) < 10:
				t.Errorf("rules.md: %s: %s is %q; a sentence is wanted", r.ID, part, words)
			}
		}
		if other, again := mends[p.Mend]; again && p.Mend != "" {
			t.Errorf("rules.md: %s is mended in the words of %s; As for `%s`. says so", r.ID, other, other)
		}
		mends[p.Mend] = r.ID
		if p.Why == r.Says {
			t.Errorf("rules.md: %s: the reason only repeats the rule", r.ID)
		}
		if shared, ok := RuleOf(p.MendAs); p.MendAs != "" && (!ok || shared.Page().Mend == "" || shared.Page().MendAs != "") {
			t.Errorf("rules.md: %s is mended as %q, which has no way to mend of its own", r.ID, p.MendAs)
		}
	}
}

// What the reader of rules.md passes over would be lost without a word.
func TestNothingInTheFileOfRulesIsPassedOver(t *testing.T) {
	heading := regexp.MustCompile(`(?m)^#+ .*$`)
	var want []string
	for _, l := range Layers() {
		if l.About == "" || len(l.Rules) == 0 {
			t.Errorf("rules.md: the layer %s says nothing of itself, or has no rules", l.Name)
		}
		want = append(want, "## "+l.Name)
		for _, r := range l.Rules {
			want = append(want, "### "+r.ID)
		}
	}
	got := slices.DeleteFunc(heading.FindAllString(rulesText, -1), func(s string) bool {
		return strings.HasPrefix(s, "# ") // the title, and comments in examples
	})
	if !slices.Equal(got, want) {
		t.Errorf("rules.md has the headings\n%s\nand these are read\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

func TestAPageIsReadStrictly(t *testing.T) {
	const whole = "**Why:** A reason\nover two lines.\n\n**Source:** FHIR R4.\n\n**Mend:** Do `this`."
	for _, c := range []struct {
		name, text string
		want       Page
		err        string
	}{
		{"whole", whole, Page{Why: "A reason over two lines.", Source: "FHIR R4.", Mend: "Do `this`."}, ""},
		{"with an example", whole + "\n\n```yaml\na:\n\n  b: c # d\n```\n", Page{Why: "A reason over two lines.", Source: "FHIR R4.", Mend: "Do `this`.", Example: "a:\n\n  b: c # d"}, ""},
		{"shared", strings.Replace(whole, "Do `this`.", "As for `other-rule`. And more.", 1), Page{Why: "A reason over two lines.", Source: "FHIR R4.", MendAs: "other-rule", Mend: "And more."}, ""},
		{"shared, not closed", strings.Replace(whole, "Do `this`.", "As for `other-rule", 1), Page{}, "after \"As for `\" the name of a rule and \"`.\" are wanted"},
		{"a part missing", strings.Replace(whole, "**Source:** FHIR R4.\n\n", "", 1), Page{}, "2 paragraphs follow the first one; 3 are wanted"},
		{"another order", strings.NewReplacer("Why", "Source", "Source", "Why").Replace(whole), Page{}, `paragraph 2 begins otherwise than "**Why:** "`},
		{"an open example", whole + "\n\n```yaml\na: b\n", Page{}, "an example is closed and ends its page"},
		{"text behind the example", whole + "\n\n```yaml\na: b\n```\n\nmore", Page{}, "an example is closed and ends its page"},
		{"nothing", "", Page{}, "1 paragraphs follow the first one; 3 are wanted"},
	} {
		got, err := readPage(c.text)
		switch {
		case c.err == "" && (err != nil || got != c.want):
			t.Errorf("%s: %+v, %v; want %+v", c.name, got, err, c.want)
		case c.err != "" && (err == nil || err.Error() != c.err):
			t.Errorf("%s: %v, want %s", c.name, err, c.err)
		}
	}
}

func BenchmarkSeverities(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		_, rest, more := strings.Cut(rulesText, "\n## ")
		for more {
			var chapter string
			chapter, rest, more = strings.Cut(rest, "\n## ")
			layerOf(chapter)
		}
	}
}
