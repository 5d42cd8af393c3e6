package r4

import (
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/samply/golang-fhir-models/fhir-models/fhir"
)

// longestLine is how many bytes the div of a one-line narrative may have, its tags
// counted: each resource of a bundle carries one.
const longestLine = 160

const (
	divStart = `<div xmlns="http://www.w3.org/1999/xhtml">`
	divEnd   = `</div>`
)

// Line gives the one-line narrative of a resource. A line that is too long is an
// error and never cut: what is cut off may be the word that matters.
func Line(text string) (*fhir.Narrative, error) {
	if strings.TrimSpace(text) == "" || strings.ContainsAny(text, "\r\n") {
		return nil, errors.New("narrative: one line with words in it is wanted")
	}
	div := divStart + escapeXHTML(text) + divEnd
	if len(div) > longestLine {
		return nil, fmt.Errorf("narrative: %d bytes with its tags; a line has at most %d", len(div), longestLine)
	}
	return generated(div), nil
}

// Paragraphs gives a narrative of several paragraphs of plain text in a language
// (a BCP 47 code), which the div names in both ways that HTML in FHIR asks for.
func Paragraphs(language string, texts ...string) (*fhir.Narrative, error) {
	var b strings.Builder
	fmt.Fprintf(&b, `<div xmlns="http://www.w3.org/1999/xhtml" lang="%[1]s" xml:lang="%[1]s">`, escapeXHTML(language))
	for _, text := range texts {
		if strings.TrimSpace(text) == "" {
			return nil, errors.New("narrative: a paragraph is empty")
		}
		b.WriteString("<p>" + escapeXHTML(text) + "</p>")
	}
	if len(texts) == 0 {
		return nil, errors.New("narrative: there is no paragraph")
	}
	return generated(b.String() + divEnd), nil
}

func generated(div string) *fhir.Narrative {
	return &fhir.Narrative{Status: fhir.NarrativeStatusGenerated, Div: div}
}

// escapeXHTML writes text as the content of an XHTML element. What XML 1.0
// (section 2.2) does not allow at all becomes U+FFFD.
func escapeXHTML(text string) string {
	if isPlainText(text) {
		return text
	}
	var b strings.Builder
	for _, r := range text {
		switch {
		case r == '&':
			b.WriteString("&amp;")
		case r == '<':
			b.WriteString("&lt;")
		case r == '>':
			b.WriteString("&gt;")
		case r < ' ' && r != '\t' && r != '\n' && r != '\r', r == 0xFFFE, r == 0xFFFF:
			b.WriteRune(utf8.RuneError)
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// isPlainText tells whether a text is its own XHTML: most narratives are.
func isPlainText(text string) bool {
	for i := range len(text) {
		if c := text[i]; c < ' ' || c >= 0x80 || c == '&' || c == '<' || c == '>' {
			return false
		}
	}
	return true
}
