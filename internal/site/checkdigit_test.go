package site

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

var tenDownToTwo = []int{10, 9, 8, 7, 6, 5, 4, 3, 2}

// Published examples of each scheme, each reckoned once more by another program.
func TestCheckDigitsHoldOfPublishedExamples(t *testing.T) {
	for _, c := range []struct {
		scheme, example string
		weights         []int
		source          string
	}{
		{"luhn", "79927398713", nil, "the worked example of Wikipedia, Luhn algorithm; documentation of stdnum-clj, stdnum.checkdigit"},
		{"luhn", "80840-1234567893", nil, "US provider identifier behind its prefix, as of the final rule 69 FR 3434; documentation of the R package npi, npi_is_valid"},
		{"mod-11-2", "07940", nil, "documentation of python-stdnum, stdnum.iso7064.mod_11_2"},
		{"mod-11-2", "079X", nil, "documentation of python-stdnum, stdnum.iso7064.mod_11_2"},
		{"mod-11-2", "0000-0002-1825-0097", nil, "ORCID, structure of the identifier; documentation of the R package checkstring, is_orcid"},
		{"mod-97-10", "9999123456789012141490", nil, "documentation of python-stdnum, stdnum.iso7064.mod_97_10"},
		{"mod-97-10", "08686001256515001121751", nil, "documentation of python-stdnum, stdnum.iso7064.mod_97_10"},
		{"mod-11-10", "794623", nil, "documentation of python-stdnum, stdnum.iso7064.mod_11_10"},
		{"mod-11-10", "002006673085", nil, "documentation of python-stdnum, stdnum.iso7064.mod_11_10"},
		{"mod-11-10", "0100000138-1", nil, "patient identifiers of German hospitals: documentation of the R package DIZtools, calculate_check_digit"},
		{"weighted-mod-11", "9434765919", tenDownToTwo, "documentation of the Rust crate nhs-number; the five steps are those of the NHS data dictionary, attribute NHS NUMBER"},
		{"weighted-mod-11-x", "0-306-40615-2", tenDownToTwo, "ISBN users' manual of 2001, as worked through by Wikipedia, International Standard Book Number"},
		{"weighted-mod-11-x", "0-8044-2957-X", tenDownToTwo, "ten-digit book number with X, as several public validators test it"},
	} {
		if s := checkDigitOf(c.scheme); !s.holds(plainCharacters(c.example), c.weights) {
			t.Errorf("%s does not hold of %s, %s", c.scheme, c.example, c.source)
		}
	}
	if checkDigitOf("weighted-mod-11").holds("080442957X", tenDownToTwo) {
		t.Error("X is a digit where ten is not given out")
	}
}

// Any one wrong digit is told by every scheme; two neighbours exchanged by those of
// ISO/IEC 7064 with one modulus, and by weights that differ.
func TestCheckDigitsTellSlipsOfThePen(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := checkDigits[rapid.IntRange(0, len(checkDigits)-1).Draw(t, "scheme")]
		right := valid(t, s)
		at := rapid.IntRange(0, len(right)-1).Draw(t, "at")
		wrong := []byte(right)
		if wrong[at] = rapid.SampledFrom([]byte("0123456789")).Draw(t, "digit"); string(wrong) != right && s.holds(string(wrong), tenDownToTwo) {
			t.Errorf("%s: %s passes for %s", s.name, wrong, right)
		}
		if s.name == "luhn" || s.name == "mod-11-10" || at == len(right)-1 {
			return // these miss some exchanges
		}
		wrong = []byte(right)
		if wrong[at], wrong[at+1] = wrong[at+1], wrong[at]; string(wrong) != right && s.holds(string(wrong), tenDownToTwo) {
			t.Errorf("%s: %s passes for %s", s.name, wrong, right)
		}
	})
}

// valid draws an identifier of nine digits with the check that fits.
func valid(t *rapid.T, s scheme) string {
	for {
		digits := rapid.StringMatching(`[0-9]{9}`).Draw(t, "digits")
		for check := range 100 {
			for _, end := range []string{string(rune('0' + check%10)), string([]byte{'0' + byte(check/10), '0' + byte(check%10)}), "X"} {
				if s.holds(digits+end, tenDownToTwo) {
					return digits + end
				}
			}
		}
	}
}

func TestWhatIsNoNumberHasNoCheckDigit(t *testing.T) {
	for _, s := range checkDigits {
		for _, text := range []string{"", "7", "X", "A5", "12a45", "١٢٣", strings.Repeat("9", 63) + "é"} {
			if s.holds(text, tenDownToTwo) {
				t.Errorf("%s holds of %q", s.name, text)
			}
		}
	}
}
