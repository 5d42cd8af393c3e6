package trace

import (
	"errors"
	"math"
	"strconv"
	"strings"

	"saltmark/internal/finding"
)

const (
	// maxDigits is how many digits a number may have, leading zeros aside.
	maxDigits = 18
	// maxNumber is how many characters a number may have.
	maxNumber = 40
	// maxExponent bounds an exponent of ten on both sides.
	maxExponent = 30
)

// decimal is digits x 10^-places, with places at or above zero.
type decimal struct {
	digits int64
	places int
}

var (
	errNotNumber = errors.New("no number")
	errTooLong   = errors.New("too long a number")
)

// parse reads -?digits[.digits][e[+-]digits], digits on both sides of a point.
func parse[T string | []byte](text T) (decimal, error) {
	if len(text) > maxNumber {
		return decimal{}, errTooLong
	}
	var d decimal
	i, negative := 0, false
	if i < len(text) && text[i] == '-' {
		i, negative = 1, true
	}
	start := i
	significant, point := 0, -1
	for ; i < len(text); i++ {
		c := text[i]
		if c == '.' && point < 0 && i > start {
			point = i
			continue
		}
		if c < '0' || c > '9' {
			break
		}
		if significant > 0 || c != '0' {
			significant++
		}
		if significant > maxDigits {
			return decimal{}, longUnlessWrong(text[i:])
		}
		d.digits = d.digits*10 + int64(c-'0')
	}
	if i == start || point == i-1 && point >= 0 {
		return decimal{}, errNotNumber
	}
	if point >= 0 {
		d.places = i - point - 1
	}
	if negative {
		d.digits = -d.digits
	}
	if i == len(text) {
		return d, nil
	}
	exponent, err := parseExponent(text[i:])
	if err != nil {
		return decimal{}, err
	}
	return d.shifted(exponent)
}

// longUnlessWrong judges the rest of a number that has too many digits.
func longUnlessWrong[T string | []byte](rest T) error {
	for i := range len(rest) {
		if c := rest[i]; (c < '0' || c > '9') && c != '.' && c != 'e' && c != 'E' && c != '-' && c != '+' {
			return errNotNumber
		}
	}
	return errTooLong
}

// parseExponent reads e[+-]digits.
func parseExponent[T string | []byte](text T) (int, error) {
	if text[0] != 'e' && text[0] != 'E' {
		return 0, errNotNumber
	}
	i, sign := 1, 1
	if i < len(text) && (text[i] == '-' || text[i] == '+') {
		if text[i] == '-' {
			sign = -1
		}
		i++
	}
	if i == len(text) {
		return 0, errNotNumber
	}
	exponent := 0
	for ; i < len(text); i++ {
		if text[i] < '0' || text[i] > '9' {
			return 0, errNotNumber
		}
		exponent = min(exponent*10+int(text[i]-'0'), maxExponent+1)
	}
	if exponent > maxExponent {
		return 0, errTooLong
	}
	return sign * exponent, nil
}

// shifted is d x 10^exponent.
func (d decimal) shifted(exponent int) (decimal, error) {
	if d.places -= exponent; d.places >= 0 {
		return d, nil
	}
	digits, _, ok := d.scaled(0)
	if !ok || digits >= pow10(maxDigits) || digits <= -pow10(maxDigits) {
		return decimal{}, errTooLong
	}
	return decimal{digits: digits}, nil
}

// scaled gives d as a whole number of 10^-places, rounded half away from zero
// where it has more places; lost tells that a digit other than 0 went. It is not
// ok where the number does not fit.
func (d decimal) scaled(places int) (whole int64, lost, ok bool) {
	more := places - d.places
	if d.digits == 0 || more == 0 {
		return d.digits, false, true
	}
	if more > maxDigits {
		return 0, false, false
	}
	if more > 0 {
		by := pow10(more)
		if d.digits > math.MaxInt64/by || d.digits < -math.MaxInt64/by {
			return 0, false, false
		}
		return d.digits * by, false, true
	}
	if -more > maxDigits {
		return 0, true, true
	}
	by := pow10(-more)
	whole, rest := d.digits/by, d.digits%by
	if rest >= by/2 {
		whole++
	} else if rest <= -by/2 {
		whole--
	}
	return whole, rest != 0, true
}

// text writes d without trailing zeros and without an exponent.
func (d decimal) text() string {
	for d.places > 0 && d.digits%10 == 0 {
		d.digits, d.places = d.digits/10, d.places-1
	}
	return string(d.append(nil))
}

// append writes d with all its places.
func (d decimal) append(to []byte) []byte {
	if d.places == 0 {
		return strconv.AppendInt(to, d.digits, 10)
	}
	size := uint64(d.digits)
	if d.digits < 0 {
		to, size = append(to, '-'), uint64(-d.digits)
	}
	var room [24]byte
	digits := strconv.AppendUint(room[:0], size, 10)
	if len(digits) <= d.places {
		to = append(to, "0."...)
		to = append(to, strings.Repeat("0", d.places-len(digits))...)
		return append(to, digits...)
	}
	to = append(to, digits[:len(digits)-d.places]...)
	to = append(to, '.')
	return append(to, digits[len(digits)-d.places:]...)
}

// seconds gives d milliseconds as seconds.
func (d decimal) seconds() float64 {
	if places := d.places + 3; places <= maxDigits {
		return float64(d.digits) / float64(pow10(places))
	}
	return float64(d.digits) / math.Pow(10, float64(d.places+3))
}

// parseText reads the decimal text of a field of a series.
func parseText(field, text string) (decimal, error) {
	d, err := parse(text)
	if err != nil {
		return decimal{}, finding.Refuse("{1} is no number or too long a one; a decimal of at most {2} digits is wanted", finding.Data(field), finding.Number(maxDigits))
	}
	return d, nil
}

// pow10 is 10^n, n from 0 to 18.
func pow10(n int) int64 {
	p := int64(1)
	for range n {
		p *= 10
	}
	return p
}
