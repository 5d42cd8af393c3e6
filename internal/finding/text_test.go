package finding_test

import (
	"errors"
	"fmt"
	"testing"

	"saltmark/internal/finding"
	"saltmark/internal/language"
)

func TestATextIsItsTemplateWithTheSlotsFilled(t *testing.T) {
	for _, c := range []struct {
		text finding.Text
		want string
	}{
		{"", ""},
		{"it must be given", "it must be given"},
		{finding.Say("at most {1} of {2}", finding.Number(3), finding.Data("x")), "at most 3 of x"},
		{finding.Say("{2} before {1}", finding.Data("a"), finding.Data("b")), "b before a"},
		{finding.Say("one of {1} is wanted", finding.Or(finding.Datas([]string{"a", "b", "c"})...)), "one of a, b or c is wanted"},
		{finding.And("a"), "a"},
		{finding.And(finding.Data("1"), finding.Data("2")), "1 and 2"},
		{finding.Commas(finding.Data("1"), finding.Data("2"), finding.Data("3")), "1, 2, 3"},
		{finding.Or(), ""},
		{`a comma or "}" is wanted, {value: ...}, {`, `a comma or "}" is wanted, {value: ...}, {`},
		{finding.Say("{1}; {3}", finding.Data("a")), "a; {3}"},
		{finding.Both("weight", "Gewicht"), "weight"},
		{finding.Quoted("a\n"), `"a\u000a"`},
	} {
		if got := c.text.String(); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

func TestWhatAnArgumentHoldsIsNeverTakenForASlot(t *testing.T) {
	for _, hostile := range []string{"{}", "{1}", "{2}", "\x01", "\x0213:{1} and {2}1:a1:b", "3:abc", "\x04x", ""} {
		f := finding.Finding{Found: finding.Say("{1} is {}", finding.Data(hostile)), Value: "v", Allowed: finding.Data(hostile)}
		if got, want := f.Sentence(true), hostile+` is "v"; `+hostile; got != want {
			t.Errorf("%q, want %q", got, want)
		}
		if got := finding.Say("{1}{2}", finding.Data(hostile), finding.Both(hostile, "")).String(); got != hostile+hostile {
			t.Errorf("%q, want %q twice", got, hostile)
		}
	}
}

func TestTheValueIsShownInPartsOfASentenceToo(t *testing.T) {
	f := finding.Finding{Found: finding.Say("{1} stands here", "a character {}"), Value: "#"}
	if got, want := f.Sentence(false), `a character "#" stands here`; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

func TestAPrivatePartIsLeftOutOfTheSentence(t *testing.T) {
	f := finding.Finding{Found: finding.Say("no area: {1}", finding.Private(finding.Say("weight is {1}", finding.Data("3 kg"))))}.Hide()
	if got, want := f.Sentence(false), "no area: (value not shown)"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if got, want := f.Sentence(true), "no area: weight is 3 kg"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

func TestAProblemKeepsItsText(t *testing.T) {
	err := finding.Refuse("{1} is missing", "body weight")
	if err.Error() != "body weight is missing" {
		t.Error(err)
	}
	if got := finding.Of(fmt.Errorf("in line 3: %w", err)); got != finding.Say("{1} is missing", "body weight") {
		t.Errorf("%q", got)
	}
	if got := finding.Of(errors.New("no such file")).String(); got != "no such file" {
		t.Errorf("%q", got)
	}
}

func TestFindingsOfEqualWordsAreOne(t *testing.T) {
	f := func(n int) finding.Finding {
		return finding.Finding{Rule: "a", Found: finding.Say("at most {1}", finding.Number(n))}
	}
	l := finding.List{f(20), f(3), f(20)}
	l.Sort()
	if len(l) != 2 || l[0] != f(20) {
		t.Errorf("got %v", l)
	}
}

func TestAFindingToldInAnotherKeepsItsOwnValue(t *testing.T) {
	inner := finding.Finding{Rule: "a", Severity: finding.Error, Place: finding.Place{File: "b.json"}, Found: "the code is {}", Value: "x", Allowed: "no code"}
	outer := finding.Finding{Found: finding.Say("{} cannot be used: {1}", inner.Told()), Value: "y"}
	if got, want := outer.Sentence(true), `"y" cannot be used: b.json a error: the code is "x"; no code`; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	if got, want := inner.Told().String(), inner.Text(false); got != want {
		t.Errorf("%s, want %s", got, want)
	}
	if got, want := inner.Hide().Told().In(language.German), `b.json a Fehler: der Code ist (Wert nicht gezeigt); kein Code`; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}
