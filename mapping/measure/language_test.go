package measure_test

import (
	"slices"
	"strings"
	"testing"

	"saltmark/internal/language"
	"saltmark/mapping/measure"
)

// complete tells whether words stand in every language, without blanks at an end.
func complete(w measure.Words) bool {
	for _, l := range measure.Languages() {
		if text := w.In(l); text == "" || strings.TrimSpace(text) != text {
			return false
		}
	}
	return true
}

func TestWordsOfAnUnknownLanguageAreEnglish(t *testing.T) {
	w := measure.Words{"duct", "Ductus"}
	for l, want := range map[measure.Language]string{"": "duct", measure.English: "duct", measure.German: "Ductus", "tlh": "duct"} {
		if got := w.In(l); got != want {
			t.Errorf("%q: %q, want %q", l, got, want)
		}
	}
	measure.Languages()[0] = "tlh"
	if !slices.Equal(measure.Languages(), language.All()) {
		t.Error("the words are in other languages than those of the program, or the list can be changed from outside")
	}
	if text := w.Text(); text.In(measure.English) != "duct" || text.In(measure.German) != "Ductus" {
		t.Errorf("a finding says %q and %q", text.In(measure.English), text.In(measure.German))
	}
}

func TestEveryThingHasWords(t *testing.T) {
	for i := range measure.All() {
		m := &measure.All()[i]
		for _, about := range m.About {
			things := append(measure.ThingsOf(about), "")
			for _, thing := range things {
				for _, l := range measure.Languages() {
					if words := m.WordsFor(thing, l); words == "" || strings.HasPrefix(words, ":") || strings.Contains(words, "{}") {
						t.Errorf("%s about %q in %q: %q", m.Key, thing, l, words)
					}
					if measure.KindWords(about, l) == "" {
						t.Errorf("%s has no words in %q", about, l)
					}
				}
			}
		}
	}
}

// The words of a measure are its name in every list, so each measure has its own.
func TestNoTwoMeasuresOfAThingHaveTheSameWords(t *testing.T) {
	for _, l := range measure.Languages() {
		seen := map[string]string{}
		for _, c := range measure.LocalCodes() {
			words := c.Words.In(l)
			if other := seen[words]; other != "" {
				t.Errorf("%q is said of %s and %s", words, other, c.Code)
			}
			seen[words] = c.Code
		}
	}
}

// The terms are those of German intensive care and paediatric cardiology; in-house
// review, no source.
func TestGermanUsesTheWordsOfTheWard(t *testing.T) {
	for _, want := range []struct{ got, want string }{
		{measure.Get("blood-flow").WordsFor("", measure.German), "Blutfluss"},
		{measure.Get("central-blood-volume").WordsFor("", measure.German), "zentrales Blutvolumen"},
		{measure.Get("level-state").WordsFor(measure.Ductal, measure.German), "Ductusebene: Zustand"},
		{measure.Get("catheter-tip").WordsFor("venous", measure.German), "venöser Katheter: Lage der Spitze"},
		{measure.WordsOf("lesion", "patent-duct", measure.German), "offener Ductus arteriosus"},
		{measure.Label{Flows: measure.Qs | measure.LVO}.Words(measure.German), "Blutfluss in den Körperkreislauf = Herzzeitvolumen des linken Ventrikels"},
		{measure.Label{Reason: "not-assessed"}.Words(measure.German), "unklar, welcher Fluss"},
	} {
		if want.got != want.want {
			t.Errorf("%q, want %q", want.got, want.want)
		}
	}
}
