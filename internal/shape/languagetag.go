package shape

import (
	"slices"
	"strings"
)

// isLanguageTag tells whether a text is a well-formed tag of a language. Source: RFC 5646
// (of BCP 47), sections 2.1 and 2.2.9. That its parts are registered is not asked.
func isLanguageTag(s string) bool {
	if len(s) == 2 || len(s) == 3 { // as nearly all are
		return isLetters(s)
	}
	return slices.Contains(irregularTags, strings.ToLower(s)) || isInParts(s)
}

// irregularTags are the tags of earlier days that the grammar does not make (RFC 5646,
// section 2.1, irregular); those that it calls regular it makes.
var irregularTags = []string{
	"en-gb-oed", "i-ami", "i-bnn", "i-default", "i-enochian", "i-hak", "i-klingon", "i-lux", "i-mingo", "i-navajo", "i-pwn",
	"i-tao", "i-tay", "i-tsu", "sgn-be-fr", "sgn-be-nl", "sgn-ch-de",
}

// tagPart is a kind of part of a tag, how many of it may follow each other, and how one
// looks.
type tagPart struct {
	most int
	is   func(part string) bool
}

// tagParts follow the language, in this order; each may be left out.
var tagParts = []tagPart{
	{3, func(p string) bool { return len(p) == 3 && isLetters(p) }},                                   // extlang
	{1, func(p string) bool { return len(p) == 4 && isLetters(p) }},                                   // script
	{1, func(p string) bool { return len(p) == 2 && isLetters(p) || len(p) == 3 && isNumerals(p) }},   // region
	{-1, func(p string) bool { return len(p) >= 5 && len(p) <= 8 || len(p) == 4 && isNumeral(p[0]) }}, // variants
}

// isInParts tells whether a tag is made as the grammar makes them: langtag or privateuse.
func isInParts(s string) bool {
	parts := strings.Split(s, "-")
	for _, p := range parts {
		if len(p) == 0 || len(p) > 8 || !isAlphanumerics(p) {
			return false
		}
	}
	language := parts[0]
	if language == "x" || language == "X" {
		return areExtensions(parts) // a matter between those who use it
	}
	// The grammar allows languages of four letters and more; none is registered, and who
	// writes one means a name: german.
	if len(language) < 2 || len(language) > 3 || !isLetters(language) {
		return false
	}
	parts = parts[1:]
	for _, kind := range tagParts {
		for n := 0; n != kind.most && len(parts) > 0 && kind.is(parts[0]); n++ {
			parts = parts[1:]
		}
	}
	return areExtensions(parts)
}

// areExtensions: a single letter or digit and what belongs to it, of two characters at
// least; behind an x anything.
func areExtensions(parts []string) bool {
	for len(parts) > 0 {
		if parts[0] == "x" || parts[0] == "X" {
			return len(parts) > 1
		}
		n := 1
		for n < len(parts) && len(parts[n]) > 1 {
			n++
		}
		if len(parts[0]) != 1 || n == 1 {
			return false
		}
		parts = parts[n:]
	}
	return true
}

func isLetters(s string) bool       { return every(s, isLetter) }
func isNumerals(s string) bool      { return every(s, isNumeral) }
func isAlphanumerics(s string) bool { return every(s, isAlphanumeric) }

func every(s string, is func(byte) bool) bool {
	for i := range len(s) {
		if !is(s[i]) {
			return false
		}
	}
	return true
}
