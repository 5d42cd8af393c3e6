package source

import (
	"strconv"
	"strings"
	"unicode/utf16"
)

// unicodeEscape decodes \u and four hexadecimal digits at the beginning of a
// text, two of them when they are a pair of surrogates. A lone surrogate is not ok.
func unicodeEscape(s string) (r rune, size int, ok bool) {
	r, ok = hexRune(s, `\u`, 4)
	if !ok {
		return 0, 0, false
	}
	if !utf16.IsSurrogate(r) {
		return r, 6, true
	}
	low, ok := hexRune(s[6:], `\u`, 4)
	if !ok {
		return 0, 0, false
	}
	r = utf16.DecodeRune(r, low)
	return r, 12, r != '\uFFFD'
}

// hexRune reads a prefix and exactly so many hexadecimal digits.
func hexRune(s, prefix string, digits int) (rune, bool) {
	s, ok := strings.CutPrefix(s, prefix)
	if !ok || len(s) < digits {
		return 0, false
	}
	if strings.Trim(s[:digits], "0123456789abcdefABCDEF") != "" {
		return 0, false
	}
	n, err := strconv.ParseUint(s[:digits], 16, 32)
	return rune(n), err == nil
}
