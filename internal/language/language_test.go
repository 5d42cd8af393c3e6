package language_test

import (
	"testing"

	"saltmark/internal/language"
)

func TestOnlyTheLanguagesOfTheProgramAreKnown(t *testing.T) {
	for code, want := range map[string]bool{"en": true, "de": true, "": false, "EN": false, "de-AT": false, "fr": false} {
		if language.Known(code) != want {
			t.Errorf("%q: known %v, want %v", code, !want, want)
		}
	}
}

func TestALanguageThatIsNotSetIsEnglish(t *testing.T) {
	var unset language.Language
	if unset.Code() != "en" || language.German.Code() != "de" {
		t.Errorf("got %q and %q", unset.Code(), language.German.Code())
	}
}
