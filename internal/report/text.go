package report

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"

	"saltmark/internal/finding"
)

func textItem(f finding.Finding, o Options) ([]byte, error) {
	return []byte(Escaped(f.TextIn(o.Language, o.ShowValues))), nil
}

// sentence gives the words of a finding without its place.
func sentence(f finding.Finding, o Options) string {
	return Escaped(f.SentenceIn(o.Language, o.ShowValues))
}

// Escaped writes every character that cannot be printed, or that is no character,
// as \u and four hexadecimal digits; characters past U+FFFF as two of these. A
// terminal and a log then show a file name or a key of the input as what it is, and
// in JSON the same spelling means the same text.
func Escaped(s string) string {
	if strings.IndexFunc(s, unprintable) < 0 && utf8.ValidString(s) {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		switch {
		case !unprintable(r):
			b.WriteRune(r)
		case r > 0xFFFF:
			high, low := utf16.EncodeRune(r)
			fmt.Fprintf(&b, `\u%04x\u%04x`, high, low)
		default:
			fmt.Fprintf(&b, `\u%04x`, r)
		}
	}
	return b.String()
}

func unprintable(r rune) bool { return !unicode.IsPrint(r) }
