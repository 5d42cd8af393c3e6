package ucum

import (
	"math/big"
	"strconv"
	"strings"

	"github.com/cockroachdb/apd/v3"

	"saltmark/internal/finding"
)

// longestNumber is how many characters a number may have.
const longestNumber = 40

// What is allowed where a number is wrong.
const (
	numberAllowed = "a plain decimal number (0.610, -2)"
	pointAllowed  = "a number with a point and without commas (0.610, 1250)"
)

// CheckNumber tells whether text is a decimal number as it may be written: an
// optional "-", digits without a needless zero in front, optionally a point and
// digits; at most 40 characters. The error is a *NumberError.
func CheckNumber(text string) error {
	n := numberPrefix(text)
	switch {
	case n == len(text) && n > 0 && n <= longestNumber:
		return nil
	case len(text) > longestNumber:
		return &NumberError{text, longestNumber, finding.Say("{1} characters", finding.Number(len(text))), finding.Say("at most {1}", finding.Number(longestNumber))}
	}
	at := strings.IndexFunc(text, func(r rune) bool { return r != '-' && (r < '0' || r > '9') && r != '.' })
	var found, allowed finding.Text = "", numberAllowed
	switch {
	case text == "":
		at, found = 0, "nothing"
	case at >= 0:
		p := parser{code: text}
		found = p.here(at)
		if text[at] == ',' {
			allowed = pointAllowed
		}
	default:
		at, found = misplaced(text)
	}
	return &NumberError{text, at, found, allowed}
}

// misplaced finds what is wrong with a text of nothing but digits, points and "-".
func misplaced(text string) (at int, found finding.Text) {
	digits := strings.TrimPrefix(text, "-")
	lead := len(text) - len(digits)
	switch {
	case len(digits) > 1 && digits[0] == '0' && isDigit(digits[1]):
		return lead, "a needless zero in front"
	case digits == "":
		return 0, `"-" alone`
	case digits[0] == '.':
		return lead, "no digit before the point"
	case strings.HasSuffix(digits, ".") && strings.Count(digits, ".") == 1 && !strings.Contains(digits, "-"):
		return len(text) - 1, "no digit behind the point"
	}
	n := numberPrefix(text)
	return n, finding.Data(strconv.Quote(text[n : n+1]))
}

// numberPrefix gives the length of the longest number that text begins with.
func numberPrefix(text string) int {
	i := 0
	if i < len(text) && text[i] == '-' {
		i++
	}
	whole := i
	for i < len(text) && isDigit(text[i]) {
		i++
	}
	if i == whole || i > whole+1 && text[whole] == '0' {
		return 0
	}
	end := i
	if i < len(text) && text[i] == '.' {
		for i++; i < len(text) && isDigit(text[i]); i++ {
			end = i + 1
		}
	}
	return end
}

// decimals gives the count of digits behind the point.
func decimals(number string) int {
	point := strings.IndexByte(number, '.')
	if point < 0 {
		return 0
	}
	return len(number) - point - 1
}

// rational gives a number that CheckNumber accepts as a rational.
func rational(number string) (*big.Rat, error) {
	if err := CheckNumber(number); err != nil {
		return nil, err
	}
	if x := shortRational(number); x != nil {
		return x, nil
	}
	x, _ := new(big.Rat).SetString(number)
	return x, nil
}

// shortRational gives a number of few digits in less time than the general way; nil
// for a longer one.
func shortRational(number string) *big.Rat {
	const mostDigits = 18 // fit 64 bits
	if len(number) > mostDigits {
		return nil
	}
	var whole, tens int64 = 0, 1
	behind := false
	for i := range len(number) {
		switch c := number[i]; {
		case c == '.':
			behind = true
		case isDigit(c):
			whole = 10*whole + int64(c-'0')
			if behind {
				tens *= 10
			}
		}
	}
	for tens > 1 && whole%10 == 0 {
		whole, tens = whole/10, tens/10
	}
	if number[0] == '-' {
		whole = -whole
	}
	if tens == 1 {
		return new(big.Rat).SetInt64(whole)
	}
	return big.NewRat(whole, tens)
}

// shiftPoint moves the point of a number to the right by n places, to the left where
// n is negative, and keeps every digit.
func shiftPoint(number string, n int) (string, error) {
	if err := CheckNumber(number); err != nil || n == 0 {
		return number, err
	}
	if n > longestNumber || n < -longestNumber {
		return "", tooLong(number, n)
	}
	var d apd.Decimal
	if _, _, err := d.SetString(number); err != nil {
		return "", &NumberError{number, 0, "a number that cannot be read", numberAllowed}
	}
	d.Exponent += int32(n)
	if d.Exponent > 0 && d.Coeff.Sign() == 0 {
		d.Exponent = 0
	}
	var room [2*longestNumber + 2]byte
	text := d.Append(room[:0], 'f')
	if len(text) > longestNumber {
		return "", tooLong(number, n)
	}
	return string(text), nil
}

func tooLong(number string, n int) error {
	return &NumberError{number, 0, finding.Say("a point to be moved by {1} places", finding.Number(n)), finding.Say("at most {1} characters afterwards", finding.Number(longestNumber))}
}
