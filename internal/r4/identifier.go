package r4

import (
	"errors"
	"fmt"
	"strings"

	"github.com/samply/golang-fhir-models/fhir-models/fhir"
)

// CheckIdentifierValue tells whether a value can be the business identifier of a
// resource: letters and digits of ASCII, and . _ - / only. Such a value needs no
// escapes of FHIR's search language, on which servers differ.
func CheckIdentifierValue(value string) error {
	if value == "" {
		return errors.New("an identifier value is empty")
	}
	for _, r := range value {
		if !plain(r) && r != '/' {
			return errors.New("an identifier value may hold letters, digits, full stop, underscore, hyphen and slash only")
		}
	}
	return nil
}

// plain tells whether a character is an unreserved one of RFC 3986 (section 2.3),
// the tilde left out.
func plain[T rune | byte](c T) bool {
	return 'a' <= c && c <= 'z' || 'A' <= c && c <= 'Z' || '0' <= c && c <= '9' || c == '.' || c == '_' || c == '-'
}

// Identifier gives a business identifier; system and value are required.
func Identifier(system, value string) (fhir.Identifier, error) {
	if err := CheckIdentifierValue(value); err != nil {
		return fhir.Identifier{}, err
	}
	if system == "" || strings.ContainsAny(system, "|,$\\ \t\r\n") {
		return fhir.Identifier{}, fmt.Errorf("%q is no identifier system: an address without white space and without | , $ and \\ is wanted", system)
	}
	texts := &[...]string{system, value} // in one piece
	return fhir.Identifier{System: &texts[0], Value: &texts[1]}, nil
}

// AppendSearch appends a whole search value in percent-encoding: every byte but letters,
// digits, full stop, underscore and hyphen, so also the | between system and value.
func AppendSearch(b []byte, value string) []byte {
	const hex = "0123456789ABCDEF"
	for i := range len(value) {
		if c := value[i]; plain(c) {
			b = append(b, c)
		} else {
			b = append(b, '%', hex[c>>4], hex[c&15])
		}
	}
	return b
}
