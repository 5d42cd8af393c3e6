package measure

import "slices"

// Language is a language of our words, as a BCP 47 code. The zero value is English.
type Language string

// The languages.
const English Language = "en"

// Languages gives every language in which all our words stand, English first.
func Languages() []Language { return []Language{English} }

// Known tells whether our words stand in the language.
func (l Language) Known() bool { return l == "" || slices.Contains(Languages(), l) }

// Code gives the BCP 47 code: that of English for the zero value.
func (l Language) Code() string {
	if l == "" {
		return string(English)
	}
	return string(l)
}
