package measure

import (
	"fmt"
	"math/big"
	"strconv"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/ucum"
)

// Digits is the rule by which a derived value is rounded: "1" is one decimal;
// "2;3<1" is two decimals, three where the value is below 1; "written" keeps the
// fewest decimals of what it was made from; "finer" keeps the most.
type Digits string

// The rules that follow the written values.
const (
	Written Digits = "written"
	Finer   Digits = "finer"
)

// Decimals gives the number of decimals for a value: the unrounded value decides
// which applies. ok is false where the rule follows the written values.
func (d Digits) Decimals(x *big.Rat) (n int, ok bool) {
	usual, finer, two := strings.Cut(string(d), ";")
	n, err := strconv.Atoi(usual)
	if err != nil {
		return 0, false
	}
	if !two {
		return n, true
	}
	more, limit, _ := strings.Cut(finer, "<")
	bound, good := new(big.Rat).SetString(limit)
	if good && new(big.Rat).Abs(x).Cmp(bound) < 0 {
		n, err = strconv.Atoi(more)
	}
	return n, err == nil
}

// Chart rounds x, once and half away from zero, to the digits of the measure and
// gives it in the measure's unit. sources are the written values that it was
// made from: of unequal digits the fewest win, and a reported value never gains
// digits that its sources lack (capped is true for those).
func (m *Measure) Chart(x *big.Rat, capped bool, sources ...ucum.Quantity) ucum.Quantity {
	n, ok := m.Digits.Decimals(x)
	least, most := decimalsOf(sources)
	switch {
	case m.Digits == Finer:
		n = most
	case !ok:
		n = least
	case capped && len(sources) > 0:
		n = min(n, least)
	}
	return ucum.Quantity{Number: ucum.Round(x, n), Unit: m.Unit}
}

// ChartFloat is Chart for a value that was computed with powers or from curves;
// it refuses what is not a number.
func (m *Measure) ChartFloat(x float64) (ucum.Quantity, error) {
	exact := new(big.Rat).SetFloat64(x)
	if exact == nil {
		return ucum.Quantity{}, finding.Refuse("{1}: {2} is not a number that can be charted", finding.Data(m.Key), finding.Data(fmt.Sprint(x)))
	}
	return m.Chart(exact, false), nil
}

func decimalsOf(sources []ucum.Quantity) (least, most int) {
	for i, q := range sources {
		d := q.Decimals()
		if i == 0 || d < least {
			least = d
		}
		most = max(most, d)
	}
	return least, most
}
