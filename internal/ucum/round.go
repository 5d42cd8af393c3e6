package ucum

import (
	"math/big"
	"strconv"

	"github.com/cockroachdb/apd/v3"

	"saltmark/internal/finding"
)

// Round is the one rule of rounding: to the nearest, half away from zero. It gives
// plain decimal text with exactly that many decimals and never a minus before zero.
// With negative decimals it rounds to tens, hundreds and so on.
func Round(x *big.Rat, decimals int) string {
	size := decimals
	if size < 0 {
		size = -size
	}
	scale := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(size)), nil)
	num, den := new(big.Int).Abs(x.Num()), x.Denom()
	if decimals >= 0 {
		num.Mul(num, scale)
	} else {
		den = scale.Mul(scale, den)
	}
	// Nearest, half up: the whole part of (2 num + den)/(2 den).
	num.Lsh(num, 1).Add(num, den)
	num.Quo(num, new(big.Int).Lsh(den, 1))
	return decimalText(num, x.Sign() < 0, decimals)
}

// decimalText writes coefficient * 10^-decimals.
func decimalText(coefficient *big.Int, negative bool, decimals int) string {
	d := apd.Decimal{Exponent: int32(-decimals)}
	d.Coeff.SetMathBigInt(coefficient)
	d.Negative = negative && coefficient.Sign() != 0
	if coefficient.Sign() == 0 && decimals < 0 {
		d.Exponent = 0
	}
	return d.Text('f')
}

// RoundFloat rounds the exact binary value of x by Round. It refuses what is not a
// finite number and what would be longer than a number may be.
func RoundFloat(x float64, decimals int) (string, error) {
	exact := new(big.Rat).SetFloat64(x)
	if exact == nil {
		text := strconv.FormatFloat(x, 'g', -1, 64)
		return "", &NumberError{text, 0, "a value that is no finite number", "a finite number"}
	}
	text := Round(exact, decimals)
	if len(text) > longestNumber {
		return "", &NumberError{text, longestNumber, finding.Say("{1} characters", finding.Number(len(text))), finding.Say("at most {1}", finding.Number(longestNumber))}
	}
	return text, nil
}
