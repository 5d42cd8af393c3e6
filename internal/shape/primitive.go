package shape

import (
	"strconv"
	"strings"
	"unicode/utf8"

	"saltmark/internal/finding"
	"saltmark/internal/source"
)

// longestString is how many characters a string may have (R4, data type string).
const longestString = 1 << 20

var controlFault = fault{"schema-control-character", "of the control characters only tab, line feed and carriage return may stand in text"}

func judgeString(s string) (fault, bool) {
	if hasControl(s) {
		return controlFault, false
	}
	if len(s) > longestString && utf8.RuneCountInString(s) > longestString {
		return fault{"schema-length", finding.Say("at most {1} characters are wanted", finding.Number(longestString))}, false
	}
	return fault{}, true
}

// hasControl finds a control character other than tab, line feed and carriage return,
// which FHIR R4 leaves out of text (data type string).
func hasControl(s string) bool {
	for i := source.EndOfPlain(s, 0); i < len(s); i = source.EndOfPlain(s, i+1) {
		if b := s[i]; b < ' ' && b != '\t' && b != '\n' && b != '\r' {
			return true
		}
	}
	return false
}

func hasSpace(s string) bool {
	for i := range len(s) {
		if b := s[i]; b <= ' ' {
			return true
		}
	}
	return false
}

// isAddress: no white space; an OID and a UUID in their forms, with a version or a fragment
// behind them if any. Source: FHIR R4 4.0.1, data types, uri (UUIDs in small letters),
// canonical, oid and uuid.
func isAddress(s string) bool {
	if hasSpace(s) {
		return false
	}
	if !strings.HasPrefix(s, "urn:") {
		return true
	}
	name, _, _ := strings.Cut(s, "|")
	name, _, _ = strings.Cut(name, "#")
	switch {
	case strings.HasPrefix(name, "urn:oid:"):
		return isOID(name)
	case strings.HasPrefix(name, "urn:uuid:"):
		return isUUID(name)
	}
	return true
}

// isCode: no white space but single spaces, and none at the ends (R4, data type code).
func isCode(s string) bool {
	space := true
	for i := range len(s) {
		now := s[i] == ' '
		if now && space || s[i] < ' ' {
			return false
		}
		space = now
	}
	return !space
}

func isID(s string) bool {
	if len(s) > 64 {
		return false
	}
	for i := range len(s) {
		if b := s[i]; (b|0x20 < 'a' || b|0x20 > 'z') && (b < '0' || b > '9') && b != '-' && b != '.' {
			return false
		}
	}
	return s != ""
}

// isOID: urn:oid: and numbers between full stops, the first of them 0, 1 or 2.
func isOID(s string) bool {
	arcs, ok := strings.CutPrefix(s, "urn:oid:")
	if !ok || len(arcs) < 3 || arcs[0] > '2' {
		return false
	}
	first := true
	for arc := range strings.SplitSeq(arcs, ".") {
		if arc == "" || len(arc) > 1 && (arc[0] == '0' || first) || strings.Trim(arc, "0123456789") != "" {
			return false
		}
		first = false
	}
	return true
}

func isUUID(s string) bool {
	s, ok := strings.CutPrefix(s, "urn:uuid:")
	if !ok || len(s) != 36 {
		return false
	}
	for i := range len(s) {
		switch b := s[i]; {
		case i == 8 || i == 13 || i == 18 || i == 23:
			if b != '-' {
				return false
			}
		case (b < '0' || b > '9') && (b < 'a' || b > 'f'):
			return false
		}
	}
	return true
}

// What a byte is in base64.
const (
	isForeign = iota
	isDigit   // one of the 64
	isFill    // =
	isBetween // white space
)

// base64Bytes tells what each byte is in base64 (RFC 4648, section 4).
var base64Bytes = [256]uint8{
	'A': isDigit, 'B': isDigit, 'C': isDigit, 'D': isDigit, 'E': isDigit, 'F': isDigit, 'G': isDigit, 'H': isDigit, 'I': isDigit, 'J': isDigit, 'K': isDigit, 'L': isDigit, 'M': isDigit,
	'N': isDigit, 'O': isDigit, 'P': isDigit, 'Q': isDigit, 'R': isDigit, 'S': isDigit, 'T': isDigit, 'U': isDigit, 'V': isDigit, 'W': isDigit, 'X': isDigit, 'Y': isDigit, 'Z': isDigit,
	'a': isDigit, 'b': isDigit, 'c': isDigit, 'd': isDigit, 'e': isDigit, 'f': isDigit, 'g': isDigit, 'h': isDigit, 'i': isDigit, 'j': isDigit, 'k': isDigit, 'l': isDigit, 'm': isDigit,
	'n': isDigit, 'o': isDigit, 'p': isDigit, 'q': isDigit, 'r': isDigit, 's': isDigit, 't': isDigit, 'u': isDigit, 'v': isDigit, 'w': isDigit, 'x': isDigit, 'y': isDigit, 'z': isDigit,
	'0': isDigit, '1': isDigit, '2': isDigit, '3': isDigit, '4': isDigit, '5': isDigit, '6': isDigit, '7': isDigit, '8': isDigit, '9': isDigit, '+': isDigit, '/': isDigit,
	'=': isFill,
	' ': isBetween, '\t': isBetween, '\n': isBetween, '\v': isBetween, '\f': isBetween, '\r': isBetween,
}

// isBase64: groups of four characters, filled up with = in the last of them alone; white
// space may stand between.
func isBase64(s string) bool {
	count, filled := 0, 0
	for i := range len(s) {
		switch base64Bytes[s[i]] {
		case isDigit:
			if filled > 0 {
				return false
			}
			count++
		case isFill:
			filled++
			count++
		case isForeign:
			return false
		}
	}
	return count > 0 && count%4 == 0 && filled < 3
}

// judgeWhole: digits alone, of 32 bits (R4: integer is signed, the others go up to
// 2,147,483,647).
func (f form) judgeWhole(s string) (fault, bool) {
	if !isWhole(s) {
		return fault{"schema-type", finding.Say("{1} is wanted", f.wanted())}, false
	}
	n, err := strconv.ParseInt(s, 10, 32)
	least := 0
	switch f {
	case integer:
		least = -1 << 31
	case positiveInt:
		least = 1
	}
	switch {
	case int(n) < least || err != nil && s[0] == '-':
		return fault{"schema-range", finding.Say("at least {1} is wanted", finding.Number(least))}, false
	case err != nil:
		return fault{"schema-range", finding.Say("at most {1} is wanted", finding.Number(1<<31-1))}, false
	}
	return fault{}, true
}

// isWhole tells whether a number of JSON is written in digits alone. R4 has no -0.
func isWhole(s string) bool {
	s = strings.TrimPrefix(s, "-")
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return s != ""
}
