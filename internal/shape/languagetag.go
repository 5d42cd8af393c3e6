package shape

import (
	"slices"
	"strings"
)

// isLanguageTag tells whether a text is a well-formed tag of a language. Source: RFC 5646
// (of BCP 47), sections 2.1 and 2.2.9. That its parts are registered is not asked, but for
// one thing: the grammar allows languages of four letters and more, of which none is
// registered, and who writes one means a name (german).
func isLanguageTag(s string) bool {
	return isLanguageInParts(s) || slices.Contains(irregularTags, strings.ToLower(s))
}

// irregularTags are the tags of earlier days that the grammar does not make (RFC 5646,
// section 2.1, irregular); those that it calls regular it makes.
var irregularTags = []string{
	"en-gb-oed", "i-ami", "i-bnn", "i-default", "i-enochian", "i-hak", "i-klingon", "i-lux", "i-mingo", "i-navajo", "i-pwn",
	"i-tao", "i-tay", "i-tsu", "sgn-be-fr", "sgn-be-nl", "sgn-ch-de",
}

func isLanguageInParts(s string) bool {
	var t languageTag
	for more := true; more; {
		var part string
		if part, s, more = strings.Cut(s, "-"); !t.take(part) {
			return false
		}
	}
	return !t.extending || t.count > 0
}

// languageTag is a tag that is read part by part.
type languageTag struct {
	kind      int  // of languageParts, that the last part was of
	count     int  // parts of that kind, or of an extension
	extending bool // a single letter or digit came, and what belongs to it follows
	private   bool // an x came: all that follows is a matter between those who use it
}

// languageParts are the kinds of parts, in their order: how one looks, and how many of it
// may follow each other. Only the first must be there.
var languageParts = []struct {
	most int
	is   func(part string) bool
}{
	{1, func(p string) bool { return (len(p) == 2 || len(p) == 3) && isLetters(p) }},                // language
	{3, func(p string) bool { return len(p) == 3 && isLetters(p) }},                                 // what extends it
	{1, func(p string) bool { return len(p) == 4 && isLetters(p) }},                                 // script
	{1, func(p string) bool { return len(p) == 2 && isLetters(p) || len(p) == 3 && isNumerals(p) }}, // region
	{-1, func(p string) bool { return len(p) > 4 || len(p) == 4 && isNumeral(p[0]) }},               // variants
}

// take reads the next part and tells whether it may stand there.
func (t *languageTag) take(part string) bool {
	first := t.kind == 0 && t.count == 0 && !t.extending
	single := len(part) == 1
	switch {
	case part == "" || len(part) > 8 || !isAlphanumerics(part):
		return false
	case t.private, t.extending && !single:
		t.count++
		return true
	case single && first && part != "x" && part != "X", single && t.extending && t.count == 0:
		return false
	case single:
		t.extending, t.private, t.count = true, part == "x" || part == "X", 0
		return true
	}
	for ; t.kind < len(languageParts); t.kind, t.count = t.kind+1, 0 {
		if kind := languageParts[t.kind]; t.count != kind.most && kind.is(part) {
			t.count++
			return true
		}
		if first {
			return false
		}
	}
	return false
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
