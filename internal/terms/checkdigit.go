package terms

import (
	"fmt"
	"strings"
)

// CheckDigit tells what is wrong with the form of a LOINC code: one to seven
// digits, a hyphen, and the check digit that the modulo 10 rule of LOINC makes of
// them (LOINC Users' Guide, appendix on the calculation of check digits; from
// memory). It does not ask whether LOINC has the code.
func CheckDigit(code string) error {
	number, digit, ok := strings.Cut(code, "-")
	if !ok || len(number) < 1 || len(number) > 7 || len(digit) != 1 || !digits(number+digit) {
		return fmt.Errorf("%q is no LOINC code: up to seven digits, a hyphen and one check digit are wanted", code)
	}
	if want := mod10(number); digit[0] != want {
		return fmt.Errorf("%q has the check digit %s; its number makes %c", code, digit, want)
	}
	return nil
}

func digits(s string) bool {
	return strings.Trim(s, "0123456789") == ""
}

// mod10 doubles every second digit from the right, adds all digits, and gives
// what is missing to the next multiple of ten.
func mod10(number string) byte {
	sum := 0
	for i := range len(number) {
		d := int(number[len(number)-1-i] - '0')
		if i%2 == 0 {
			d *= 2
		}
		sum += d/10 + d%10
	}
	return '0' + byte((10-sum%10)%10)
}
