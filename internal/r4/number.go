package r4

import (
	"encoding/json"
	"fmt"
	"regexp"
)

// longestNumber is what a reader of package source still takes.
const longestNumber = 40

var plainDecimal = regexp.MustCompile(`^-?(0|[1-9][0-9]*)(\.[0-9]+)?$`)

// Number gives a FHIR decimal with the digits as written. It is the only place
// where a json.Number is made: it refuses an empty text, which the encoder would
// write as 0, an exponent, which some readers of FHIR fail on, and whatever else is
// no plain decimal.
func Number(text string) (json.Number, error) {
	if len(text) > longestNumber || !plainDecimal.MatchString(text) {
		return "", fmt.Errorf("a plain decimal of at most %d characters is wanted", longestNumber)
	}
	return json.Number(text), nil
}

// optionalNumber is Number for an element that may be left out ("").
func optionalNumber(text string) (*json.Number, error) {
	if text == "" {
		return nil, nil
	}
	n, err := Number(text)
	if err != nil {
		return nil, err
	}
	return &n, nil
}
