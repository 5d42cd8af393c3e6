package finding

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// longest is how many characters of a value a sentence shows.
const longest = 60

// Quote puts a value of the input into double quotes for a sentence: control,
// format (bidirectional among them) and unprintable characters are escaped, and
// what goes past 60 characters is cut.
func Quote(value string) string {
	if most := (longest + 1) * utf8.UTFMax; len(value) > most { // however long it is
		value = value[:most]
	}
	runes := []rune(strings.ToValidUTF8(value, "\uFFFD"))
	cut := len(runes) > longest
	if cut {
		runes = runes[:longest]
	}
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range runes {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case unicode.IsPrint(r):
			b.WriteRune(r)
		case r > 0xFFFF:
			b.WriteString(`\U` + pad(r, 8))
		default:
			b.WriteString(`\u` + pad(r, 4))
		}
	}
	if cut {
		b.WriteString("...")
	}
	b.WriteByte('"')
	return b.String()
}

func pad(r rune, width int) string {
	s := strconv.FormatInt(int64(r), 16)
	return strings.Repeat("0", width-len(s)) + s
}
