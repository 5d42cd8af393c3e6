package ucum

import "math/big"

// SumOf adds values of one and the same unit exactly. Without values it is
// ErrNoValues, with two units ErrUnitsDiffer.
func SumOf(qs []Quantity) (*big.Rat, error) {
	if len(qs) == 0 {
		return nil, ErrNoValues
	}
	sum := new(big.Rat)
	for _, q := range qs {
		if q.Unit != qs[0].Unit {
			return nil, ErrUnitsDiffer
		}
		x, err := rational(q.Number)
		if err != nil {
			return nil, err
		}
		sum.Add(sum, x)
	}
	return sum, nil
}

// MeanOf gives the exact mean of values of one and the same unit, to be rounded once
// by Round. Its errors are those of SumOf.
func MeanOf(qs []Quantity) (*big.Rat, error) {
	sum, err := SumOf(qs)
	if err != nil {
		return nil, err
	}
	return sum.Quo(sum, big.NewRat(int64(len(qs)), 1)), nil
}

// Mul gives the exact product of two quantities in a unit of the product's
// dimension: 150 /min times 4.07 mL in L/min is 0.6105. Special and arbitrary units
// take no part in products.
func Mul(a, b Quantity, unit string) (*big.Rat, error) {
	x, y, z, err := operands(a, b, unit)
	if err != nil {
		return nil, err
	}
	return inUnit(x.number.Mul(x.number, y.number), x.unit.times(y.unit.magnitude), a.Unit+" times "+b.Unit, z)
}

// Quo gives the exact quotient of two quantities in a unit of the quotient's
// dimension: 0.610 L/min by 150 /min in mL is 61/15. Division by zero is
// ErrZeroDivisor, for the rest see Mul.
func Quo(a, b Quantity, unit string) (*big.Rat, error) {
	x, y, z, err := operands(a, b, unit)
	if err != nil {
		return nil, err
	}
	if y.number.Sign() == 0 {
		return nil, ErrZeroDivisor
	}
	return inUnit(x.number.Quo(x.number, y.number), x.unit.times(y.unit.inverse()), a.Unit+" by "+b.Unit, z)
}

type operand struct {
	number *big.Rat
	unit   *Unit
}

// operands reads two quantities and the unit of a result, all on ratio scales.
func operands(a, b Quantity, unit string) (x, y operand, z *Unit, err error) {
	if z, err = Parse(unit); err != nil {
		return x, y, nil, err
	}
	if x, err = newOperand(a); err == nil {
		y, err = newOperand(b)
	}
	if err != nil {
		return x, y, nil, err
	}
	for _, u := range []*Unit{x.unit, y.unit, z} {
		switch u.kind {
		case Arbitrary:
			err = ErrArbitraryUnit
		case Special:
			err = ErrSpecialUnit
		default:
			continue
		}
		return x, y, nil, &ConversionError{u.code, unit, u.dimension, z.dimension, err}
	}
	return x, y, z, nil
}

func newOperand(q Quantity) (operand, error) {
	number, err := rational(q.Number)
	if err != nil {
		return operand{}, err
	}
	u, err := Parse(q.Unit)
	return operand{number, u}, err
}

// inUnit expresses a number of units m, made as made tells, in the unit z.
func inUnit(number *big.Rat, m magnitude, made string, z *Unit) (*big.Rat, error) {
	if m.dimension != z.dimension {
		return nil, &ConversionError{made, z.code, m.dimension, z.dimension, ErrDimension}
	}
	number.Mul(number, m.factor)
	return number.Quo(number, z.factor), nil
}
