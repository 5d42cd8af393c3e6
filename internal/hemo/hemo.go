// Package hemo holds formulas of the circulation that take single numbers: body
// surface, agreement of replicate injections, variation pooled from many sessions,
// precision of a mean, oxygen and carbon dioxide in blood, flow by oxygen uptake, shunt
// ratio, stroke volume and systemic resistance.
//
// It knows numbers only: no sheet, no label, no code of a measure. Whether a value
// may be charted under a shunt, how many digits it gets, and how old its inputs
// may be is decided elsewhere. Constants that a site may choose are arguments.
//
// Symbols and units
//
//	W        body weight, kg                 L       body length, cm
//	A        body surface area, m2           Q       blood flow, L/min
//	HR       heart rate, /min                SV      stroke volume, mL
//	Hb       haemoglobin, g/dL               S       oxygen saturation, fraction 0 to 1
//	pO2      oxygen pressure, mmHg           pCO2    carbon dioxide pressure, mmHg
//	C        gas content of blood, mL/dL     VO2     oxygen uptake, mL/min
//	MAP      mean arterial pressure, mmHg    CVP     central venous pressure, mmHg
//	R        systemic resistance, dyn s/cm5  CV      coefficient of variation, %
//
// Two kinds of number, by one rule: sums, products, quotients and means of written
// values are exact rationals (math/big.Rat), so that the decimals written decide
// at a limit and the one rounding happens with the caller; powers, logarithms and
// roots are float64. No function rounds, keeps or changes an argument.
//
// An input outside its domain gives an error (a finding.Problem, which is said in
// each language) that names it, shows the number and says what is wanted; no function answers with NaN, with an infinity or with a
// panic.
//
// Sources stand at each formula. Limits: no formula here judges whether a number
// is plausible for a patient, and the bounds set on gas formulas are only there to
// keep them from being used where they have no meaning.
package hemo

import (
	"fmt"
	"math"
	"math/big"

	"saltmark/internal/finding"
)

// above0 refuses what is not a finite number above zero.
func above0(name finding.Text, unit string, x float64) error {
	if !(x > 0) || math.IsInf(x, 1) {
		return finding.Refuse("{1} is {2}{3}; a finite number above 0 is wanted", name, number(x), after(unit))
	}
	return nil
}

// between refuses what is not a number from low to high.
func between(name finding.Text, unit string, x, low, high float64) error {
	if !(x >= low && x <= high) {
		return finding.Refuse("{1} is {2}{3}; a number from {4} to {5} is wanted", name, number(x), after(unit), number(low), number(high))
	}
	return nil
}

// exact is one named exact input with its unit.
type exact struct {
	name  finding.Text
	unit  string
	value *big.Rat
}

// positive refuses the first input that is missing or not above zero.
func positive(inputs ...exact) error {
	for _, in := range inputs {
		if in.value == nil {
			return finding.Refuse("{1} is missing; a number above 0 is wanted", in.name)
		}
		if in.value.Sign() <= 0 {
			return finding.Refuse("{1} is {2}{3}; a number above 0 is wanted", in.name, shown(in.value), after(in.unit))
		}
	}
	return nil
}

// fraction refuses what is missing or not a fraction from 0 to 1.
func fraction(inputs ...exact) error {
	for _, in := range inputs {
		if in.value == nil {
			return finding.Refuse("{1} is missing; a fraction from 0 to 1 is wanted", in.name)
		}
		if in.value.Sign() < 0 || in.value.Cmp(big.NewRat(1, 1)) > 0 {
			return finding.Refuse("{1} is {2}; a fraction from 0 to 1 is wanted", in.name, shown(in.value))
		}
	}
	return nil
}

// after gives a unit with the space before it, nothing where there is no unit.
func after(unit string) finding.Text {
	if unit == "" {
		return ""
	}
	return finding.Data(" " + unit)
}

// shown writes an exact number for an error: its own digits where it is a decimal
// of at most nine places, else nine places of it.
func shown(x *big.Rat) finding.Text {
	places, finite := x.FloatPrec()
	if !finite {
		places = 9
	}
	return finding.Data(x.FloatString(min(places, 9)))
}

// number writes a float for an error.
func number(x float64) finding.Text { return finding.Data(fmt.Sprint(x)) }
