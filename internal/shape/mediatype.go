package shape

import "strings"

// isMediaType tells whether a text is the name of a media type, with its parameters.
// Sources: RFC 6838 (of BCP 13), section 4.2, for type and subtype; RFC 2045, section 5.1,
// for the parameters, and RFC 9110, section 5.6.6, for the spaces between them. That a type
// is registered is not asked. FHIR R4 has xml, json and ttl in the same value set
// (CapabilityStatement.format).
func isMediaType(s string) bool {
	if s == "xml" || s == "json" || s == "ttl" {
		return true
	}
	name, parameters, more := strings.Cut(s, ";")
	kind, sub, ok := strings.Cut(strings.TrimRight(name, " "), "/")
	if !ok || !isRestrictedName(kind) || !isRestrictedName(sub) {
		return false
	}
	for more {
		if parameters, more, ok = cutParameter(parameters); !ok {
			return false
		}
	}
	return true
}

// cutParameter takes a parameter off, and tells whether another one follows.
func cutParameter(s string) (rest string, more, ok bool) {
	s = strings.TrimLeft(s, " ")
	cut := strings.IndexByte(s, '=')
	if cut < 0 || !isToken(s[:cut]) {
		return "", false, false
	}
	s = s[cut+1:]
	end := strings.IndexAny(s, " ;")
	if strings.HasPrefix(s, `"`) {
		end = endOfQuoted(s)
		if end < 0 {
			return "", false, false
		}
	} else {
		if end < 0 {
			end = len(s)
		}
		if !isToken(s[:end]) {
			return "", false, false
		}
	}
	s = strings.TrimLeft(s[end:], " ")
	rest, more = strings.CutPrefix(s, ";")
	return rest, more, more || s == ""
}

// endOfQuoted gives the index behind the quotes that a text begins with, -1 where they
// are not closed.
func endOfQuoted(s string) int {
	for i := 1; i < len(s); i++ {
		switch s[i] {
		case '\\':
			i++
		case '"':
			return i + 1
		}
	}
	return -1
}

// isRestrictedName: RFC 6838, section 4.2.
func isRestrictedName(s string) bool {
	if s == "" || len(s) > 127 || !isAlphanumeric(s[0]) {
		return false
	}
	for i := range len(s) {
		if !isAlphanumeric(s[i]) && strings.IndexByte("!#$&-^_.+", s[i]) < 0 {
			return false
		}
	}
	return true
}

// isToken: RFC 2045, section 5.1.
func isToken(s string) bool {
	for i := range len(s) {
		if s[i] <= ' ' || s[i] > '~' || strings.IndexByte(`()<>@,;:\"/[]?=`, s[i]) >= 0 {
			return false
		}
	}
	return s != ""
}

func isLetter(b byte) bool       { return b|0x20 >= 'a' && b|0x20 <= 'z' }
func isNumeral(b byte) bool      { return b >= '0' && b <= '9' }
func isAlphanumeric(b byte) bool { return isLetter(b) || isNumeral(b) }
