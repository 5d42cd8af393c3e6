package site

import (
	"slices"
	"strings"
)

// scheme is a published way of telling from an identifier alone that it was mistyped.
// Its last characters are computed from the others.
type scheme struct {
	name     string
	weighted bool // the site says the weights
	// holds tells whether characters without separators carry the right check.
	holds func(characters string, weights []int) bool
}

// checkDigits are the schemes. Each has a published example beside it in the tests.
//
//   - luhn: ISO/IEC 7812-1, annex B, modulus 10 with every second digit doubled.
//   - mod-11-2, mod-97-10, mod-11-10: ISO/IEC 7064, the pure systems with one check
//     character (digits and X) and with two check digits, and the hybrid system.
//   - weighted-mod-11: each digit before the last times its weight, summed; the check
//     digit is 11 less the sum's remainder by 11, and 11 counts as 0. An identifier
//     whose check would be 10 is not given out. weighted-mod-11-x writes that as X.
var checkDigits = []scheme{
	{"luhn", false, luhn},
	{"mod-11-2", false, func(s string, _ []int) bool { return pure(s, 11, 2, 1) }},
	{"mod-97-10", false, func(s string, _ []int) bool { return pure(s, 97, 10, 2) }},
	{"mod-11-10", false, hybrid},
	{"weighted-mod-11", true, func(s string, weights []int) bool { return weighted(s, weights, false) }},
	{"weighted-mod-11-x", true, func(s string, weights []int) bool { return weighted(s, weights, true) }},
}

func checkDigitOf(name string) *scheme {
	if i := slices.IndexFunc(checkDigits, func(s scheme) bool { return s.name == name }); i >= 0 {
		return &checkDigits[i]
	}
	return nil
}

func schemeNames() (names []string) {
	for _, s := range checkDigits {
		names = append(names, s.name)
	}
	return names
}

func weightedSchemes() (names []string) {
	for _, s := range checkDigits {
		if s.weighted {
			names = append(names, s.name)
		}
	}
	return names
}

// plainCharacters leaves separators out, which people write at will.
func plainCharacters(s string) string {
	return strings.Map(func(r rune) rune {
		if strings.ContainsRune("-./", r) {
			return -1
		}
		return r
	}, s)
}

// digit gives the value of a character, X being 10; ok is false for any other.
func digit(c byte, x bool) (value int, ok bool) {
	switch {
	case c >= '0' && c <= '9':
		return int(c - '0'), true
	case c == 'X' && x:
		return 10, true
	}
	return 0, false
}

// shortest is how many characters have a check: one, and what it is of.
const shortest = 2

func luhn(s string, _ []int) bool {
	sum := 0
	for i := range len(s) {
		d, ok := digit(s[len(s)-1-i], false)
		if !ok {
			return false
		}
		if i%2 == 1 {
			d *= 2
		}
		sum += d/10 + d%10
	}
	return len(s) >= shortest && sum%10 == 0
}

// pure is the pure system of ISO/IEC 7064 of a modulus and a radix, with so many
// check characters: the weighted sum leaves 1.
func pure(s string, modulus, radix, checks int) bool {
	if len(s) <= checks {
		return false
	}
	sum := 0
	for i := range len(s) {
		d, ok := digit(s[i], checks == 1 && i == len(s)-1)
		if !ok {
			return false
		}
		sum = (sum*radix + d) % modulus
	}
	return sum == 1
}

// hybrid is the hybrid system MOD 11,10 of ISO/IEC 7064.
func hybrid(s string, _ []int) bool {
	if len(s) < shortest {
		return false
	}
	p := 10
	for i := range len(s) - 1 {
		d, ok := digit(s[i], false)
		if !ok {
			return false
		}
		if p = (p + d) % 10; p == 0 {
			p = 10
		}
		p = p * 2 % 11
	}
	d, ok := digit(s[len(s)-1], false)
	return ok && (p+d)%10 == 1
}

func weighted(s string, weights []int, x bool) bool {
	if len(s) != len(weights)+1 {
		return false
	}
	sum := 0
	for i, w := range weights {
		d, ok := digit(s[i], false)
		if !ok {
			return false
		}
		sum += d * w
	}
	d, ok := digit(s[len(s)-1], x)
	return ok && (sum+d)%11 == 0
}
