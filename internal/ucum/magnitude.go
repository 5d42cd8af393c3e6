package ucum

import (
	"math/big"

	"saltmark/internal/finding"
)

// one is the factor of every base unit. It is never written to.
var one = big.NewRat(1, 1)

// widest is how many bits a factor may have above or below the line.
const widest = 8192

// magnitude is what a unit stands for: a reading r in it is r*factor + zero in base
// units of the dimension. Values share their rationals, which are never written to.
type magnitude struct {
	factor    *big.Rat
	zero      *big.Rat // nil on a ratio scale
	dimension Dimension
	kind      Kind
	curved    bool // a special unit whose readings no straight line carries over
}

// fault says in words why a magnitude cannot be had, "" when it can.
func (m magnitude) fault() finding.Text {
	switch {
	case m.factor.Num().BitLen() > widest || m.factor.Denom().BitLen() > widest:
		return "a unit too large or too small to compute with"
	case !m.dimension.bounded():
		return "a dimension of more than 999"
	}
	return ""
}

// times multiplies. A special unit may be scaled by a plain number (clause 22 of the
// specification); in any other product its readings mean nothing that could be
// converted.
func (m magnitude) times(n magnitude) magnitude {
	p := magnitude{
		factor:    new(big.Rat).Mul(m.factor, n.factor),
		dimension: m.dimension.Times(n.dimension),
		kind:      max(m.kind, n.kind),
	}
	switch {
	case m.kind == Special && n.plain():
		p.zero, p.curved = m.zero, m.curved
	case n.kind == Special && m.plain():
		p.zero, p.curved = n.zero, n.curved
	default:
		p.curved = m.kind == Special || n.kind == Special
	}
	return p
}

// plain tells a number without dimension on a ratio scale.
func (m magnitude) plain() bool { return m.kind == Ordinary && m.dimension == Dimension{} }

// power raises to an exponent; ok is false when the result would be out of bounds.
func (m magnitude) power(n int) (_ magnitude, ok bool) {
	if n == 1 {
		return m, true
	}
	size := n
	if n < 0 {
		size = -n
	}
	num, den := m.factor.Num(), m.factor.Denom()
	if (num.BitLen()-1)*size > widest || (den.BitLen()-1)*size > widest {
		return m, false
	}
	e := big.NewInt(int64(size))
	num, den = new(big.Int).Exp(num, e, nil), new(big.Int).Exp(den, e, nil)
	if num.BitLen() > widest || den.BitLen() > widest { // the estimate above is a lower bound
		return m, false
	}
	if n < 0 {
		num, den = den, num
	}
	return magnitude{
		factor:    new(big.Rat).SetFrac(num, den),
		dimension: m.dimension.power(n),
		kind:      m.kind,
		curved:    m.kind == Special,
	}, true
}

// inverse gives 1/m. Factors are never zero: the grammar refuses the number 0.
func (m magnitude) inverse() magnitude {
	return magnitude{
		factor:    new(big.Rat).Inv(m.factor),
		dimension: Dimension{}.Per(m.dimension),
		kind:      m.kind,
		curved:    m.kind == Special,
	}
}

// tens is a factor taken apart as 2^twos * 5^fives * num/den, num and den having
// neither 2 nor 5 in them. Two factors differ by a power of ten when num and den are
// equal and twos and fives differ by the same number, which takes no division.
type tens struct {
	twos, fives int
	num, den    *big.Int
}

func takeApart(x *big.Rat) tens {
	num, twos, fives := strip(x.Num())
	den, lessTwos, lessFives := strip(x.Denom())
	return tens{twos - lessTwos, fives - lessFives, num, den}
}

func strip(x *big.Int) (rest *big.Int, twos, fives int) {
	twos = int(x.TrailingZeroBits())
	rest = new(big.Int).Rsh(x, uint(twos))
	five, q, r := big.NewInt(5), new(big.Int), new(big.Int)
	for {
		if q.QuoRem(rest, five, r); r.Sign() != 0 {
			return rest, twos, fives
		}
		rest.Set(q)
		fives++
	}
}

// shift gives the power of ten that carries a reading in t over to one in u.
func (t tens) shift(u tens) (int, bool) {
	n := t.twos - u.twos
	return n, n == t.fives-u.fives && t.num.Cmp(u.num) == 0 && t.den.Cmp(u.den) == 0
}
