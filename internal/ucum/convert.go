package ucum

import "math/big"

// Convert gives the exact number of q in another unit. errors.Is tells ErrNumber,
// ErrSyntax, ErrDimension, ErrArbitraryUnit and ErrSpecialUnit apart; a unit code at
// fault is a *UnitError, two sound units that do not go together a *ConversionError.
func Convert(q Quantity, unit string) (*big.Rat, error) {
	x, err := rational(q.Number)
	if err != nil {
		return nil, err
	}
	from, to, err := pair(q.Unit, unit)
	if err != nil || q.Unit == unit {
		return x, err
	}
	x.Mul(x, from.factor)
	if from.zero != nil {
		x.Add(x, from.zero)
	}
	if to.zero != nil {
		x.Sub(x, to.zero)
	}
	return x.Quo(x, to.factor), nil
}

// In gives q in another unit when that takes moving the point only: every digit
// written is kept, 0.610 L/min is 610 mL/min and 2.50 mL is 0.00250 L. Otherwise ok is
// false and Convert with Round is the way. The errors are those of Convert; a number
// that would become longer than a number may be is ErrNumber.
func (q Quantity) In(unit string) (_ Quantity, ok bool, err error) {
	from, to, err := pair(q.Unit, unit)
	if err != nil {
		return Quantity{}, false, err
	}
	n := 0
	if from != to {
		if n, ok = from.tens.shift(to.tens); !ok || !sameZero(from.zero, to.zero) {
			return Quantity{}, false, CheckNumber(q.Number)
		}
	}
	number, err := shiftPoint(q.Number, n)
	if err != nil {
		return Quantity{}, false, err
	}
	return Quantity{number, unit}, true, nil
}

// Commensurable tells whether two codes have the same dimension. A special unit has
// that of the unit it is a scale of; an arbitrary unit is commensurable with the same
// code only; what is no code, with nothing.
func Commensurable(a, b string) bool {
	u, err := Parse(a)
	if err != nil {
		return false
	}
	v, err := Parse(b)
	if err != nil {
		return false
	}
	return a == b || u.kind != Arbitrary && v.kind != Arbitrary && u.dimension == v.dimension
}

// pair parses two units of which the first is to go over to the second.
func pair(from, to string) (u, v *Unit, err error) {
	if u, err = Parse(from); err != nil || from == to {
		return u, u, err
	}
	if v, err = Parse(to); err != nil {
		return nil, nil, err
	}
	switch {
	case u.kind == Arbitrary || v.kind == Arbitrary:
		err = ErrArbitraryUnit
	case u.dimension != v.dimension:
		err = ErrDimension
	case u.curved || v.curved:
		err = ErrSpecialUnit
	default:
		return u, v, nil
	}
	return nil, nil, &ConversionError{from, to, u.dimension, v.dimension, err}
}

func sameZero(a, b *big.Rat) bool {
	if a == nil || b == nil {
		return a == b
	}
	return a.Cmp(b) == 0
}
