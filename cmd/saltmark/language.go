package main

import (
	"github.com/spf13/pflag"

	"saltmark/internal/language"
)

// languageFlag is the flag --language: that of the findings.
type languageFlag struct{ choice }

func (f *languageFlag) addTo(flags *pflag.FlagSet) {
	f.choice = newChoice("", language.Codes()...)
	flags.Var(&f.choice, "language", "language of the findings (default: that of the site's settings, else English)")
}

// or gives the language that was chosen, or else another.
func (f *languageFlag) or(otherwise language.Language) language.Language {
	if f.is("") {
		return otherwise
	}
	return language.Language(f.String())
}
