package r4

import (
	"encoding/json"
	"fmt"
	"strings"
)

// longestNumber is what a reader of package source still takes.
const longestNumber = 40

// Number gives a FHIR decimal with the digits as written. It is the only place
// where a json.Number is made: it refuses an empty text, which the encoder would
// write as 0, an exponent, which some readers of FHIR fail on, and whatever else is
// no plain decimal.
func Number(text string) (json.Number, error) {
	if len(text) > longestNumber || !plainNumber(text) {
		return "", fmt.Errorf("a plain decimal of at most %d characters is wanted", longestNumber)
	}
	return json.Number(text), nil
}

// plainNumber tells whether a text is a plain decimal as JSON writes it.
func plainNumber(text string) bool {
	digits := strings.TrimPrefix(text, "-")
	whole, fraction, point := strings.Cut(digits, ".")
	return isDigits(whole) && (whole == "0" || whole[0] != '0') && (!point || isDigits(fraction))
}

func isDigits(text string) bool {
	for i := range len(text) {
		if text[i] < '0' || text[i] > '9' {
			return false
		}
	}
	return text != ""
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
