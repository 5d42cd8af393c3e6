package finding_test

import (
	"testing"

	"saltmark/internal/finding"
)

func TestPlaceIsWrittenAsToolsReadIt(t *testing.T) {
	for _, c := range []struct {
		place finding.Place
		want  string
	}{
		{finding.Place{File: "a.yaml", Line: 14, Column: 11, Pointer: "/x"}, "a.yaml:14:11"},
		{finding.Place{File: "a.yaml", Line: 14}, "a.yaml:14"},
		{finding.Place{File: "a.json", Pointer: "/entry/0"}, "a.json#/entry/0"},
		{finding.Place{File: "a.json"}, "a.json"},
	} {
		if got := c.place.String(); got != c.want {
			t.Errorf("%+v: %q, want %q", c.place, got, c.want)
		}
	}
}

func TestAPrivateValueStaysOutOfTheSentence(t *testing.T) {
	f := finding.Finding{Rule: "some-rule", Severity: finding.Error, Found: "patient is {}", Value: "Ada", Allowed: "an identifier is wanted"}.Hide()
	if got, want := f.Text(false), "some-rule error: patient is (value not shown); an identifier is wanted"; got != want {
		t.Errorf("hidden: %q, want %q", got, want)
	}
	if got, want := f.Sentence(true), `patient is "Ada"; an identifier is wanted`; got != want {
		t.Errorf("shown: %q, want %q", got, want)
	}
}

func TestQuoteShowsNoControlOrBidiCharacterRaw(t *testing.T) {
	if got, want := finding.Quote("a\x1b[31m\u202Eb\"\n"), `"a\u001b[31m\u202eb\"\u000a"`; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

func TestSortIsByPlaceThenRuleAndDropsRepetitions(t *testing.T) {
	a := finding.Finding{Rule: "b", Severity: finding.Error, Place: finding.Place{File: "f", Line: 2}}
	b := finding.Finding{Rule: "a", Severity: finding.Info, Place: finding.Place{File: "f", Line: 2}}
	c := finding.Finding{Rule: "z", Severity: finding.Warning, Place: finding.Place{File: "f", Line: 1}}
	l := finding.List{a, b, c, a}
	l.Sort()
	if len(l) != 3 || l[0] != c || l[1] != b || l[2] != a {
		t.Errorf("got %+v", l)
	}
	if l.Worst() != finding.Error || !l.HasErrors() {
		t.Error("the worst of them is an error")
	}
}
