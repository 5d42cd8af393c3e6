package site

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

var tenDownToTwo = []int{10, 9, 8, 7, 6, 5, 4, 3, 2}

// Published examples of each scheme. The numbers are from memory, as their sources
// print them; that each holds is checked here, and by hand.
func TestCheckDigitsHoldOfPublishedExamples(t *testing.T) {
	for _, c := range []struct {
		scheme, example string
		weights         []int
		source          string
	}{
		{"luhn", "79927398713", nil, "the usual example of ISO/IEC 7812-1, annex B (from memory)"},
		{"mod-11-2", "07940", nil, "ISO/IEC 7064, example 0794 with check 0 (from memory)"},
		{"mod-11-2", "0000-0002-1825-0097", nil, "ORCID, structure of the identifier (from memory)"},
		{"mod-11-2", "0000-0001-5109-3700", nil, "ORCID, structure of the identifier (from memory)"},
		{"mod-97-10", "79444", nil, "ISO/IEC 7064, example 794 with check 44 (from memory)"},
		{"mod-11-10", "07945", nil, "ISO/IEC 7064, example 0794 with check 5 (from memory)"},
		{"weighted-mod-11", "9434765919", tenDownToTwo, "example of a ten-digit health service number (from memory)"},
		{"weighted-mod-11-x", "0-306-40615-2", tenDownToTwo, "ISO 2108, ten-digit book number (from memory)"},
		{"weighted-mod-11-x", "0-8044-2957-X", tenDownToTwo, "ISO 2108, ten-digit book number with X (from memory)"},
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
