// Package language names the languages in which this program speaks to people.
//
// It holds no words: those stand in the tables of the rooms that say them, each
// beside its translation. Keys, codes, units and numbers belong to no language.
package language

import "slices"

// Language is a language by its code (BCP 47). The zero value stands for English.
type Language string

// The languages.
const (
	English Language = "en"
	German  Language = "de"
)

// All gives the languages, English first.
func All() []Language { return []Language{English, German} }

// Codes gives their codes in the same order.
func Codes() []string {
	var codes []string
	for _, l := range All() {
		codes = append(codes, string(l))
	}
	return codes
}

// Known tells whether a code is that of one of the languages.
func Known(code string) bool { return slices.Contains(Codes(), code) }

// Code gives the code, that of English where none is set.
func (l Language) Code() string {
	if l == "" {
		return string(English)
	}
	return string(l)
}
