package r4

import (
	"encoding/json"
	"fmt"
	"strings"
)

// Enum gives the value of a model's enum type that a code word names, as in
// Enum[fhir.ObservationStatus]("final"). The zero value of such a type is a real
// code, so an unset word must not become one: an unknown word, the empty one among
// them, is an error.
func Enum[T any, P interface {
	*T
	json.Unmarshaler
}](word string) (T, error) {
	var value T
	if strings.ContainsAny(word, `"\`) || P(&value).UnmarshalJSON([]byte(`"`+word+`"`)) != nil {
		var unset T
		return unset, fmt.Errorf("%q is no code of %T", word, unset)
	}
	return value, nil
}
