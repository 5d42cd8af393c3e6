package dilution

import (
	"math"

	"saltmark/internal/dilution/leastsquares"
)

// The way back through the body, in two laws of mean t:
//
//	two branches   f g(t1) + (1 - f) g(t2), t2 = t1 (1 + v)
//	broad          f g(t/5) + (1 - f) (sum over i of w_i g(t' exp(v z_i - v^2/2)))
//
// with g(x) = (1 + s x/4)^-4, and z_i, w_i the five nodes of Gauss and Hermite for the
// standard normal law, so that the transit of the organs is log-normal of spread v about
// t'. The quick branch of the broad one stands for the wall of the heart and what else
// comes back before the rest. Organs of man differ tenfold in transit (no source for the
// law).

// hermite has the nodes and weights (Abramowitz M, Stegun IA. Handbook of Mathematical
// Functions, 1964, table 25.10, scaled to the standard normal law; from memory, and
// tested by their moments).
var hermite = [5][2]float64{
	{-2.8569700138728056, 0.011257411327720691},
	{-1.3556261799742659, 0.22207592200561266},
	{0, 0.53333333333333333},
	{1.3556261799742659, 0.22207592200561266},
	{2.8569700138728056, 0.011257411327720691},
}

// quickTransit is the transit of the quick branch of a broad body as part of the mean.
const quickTransit = 0.2

// bodyBranch is one path: its part of the flow, a quarter of its transit, and the
// derivatives of both by the three parameters of the body.
type bodyBranch struct {
	part, quarterS     float64
	partBy, quarterSBy [3]float64
}

// body has the branches of the way back.
type body struct {
	branches [len(hermite) + 1]bodyBranch
	n        int
	meanS    float64
}

// bodyBy are the parameters of the body, in the order of the derivatives.
var bodyBy = [3]int{atBody, atSpread, atQuick}

func newBody(p *leastsquares.Vector, startS float64, form structure) body {
	mean, spread, quick := startS*math.Exp(p[atBody]), math.Exp(p[atSpread]), logistic(p[atQuick])
	quickBy := quick * (1 - quick)
	b := body{meanS: mean}
	add := func(x bodyBranch) {
		b.branches[b.n] = x
		b.n++
	}
	if !form.BroadBody {
		// f t1 + (1 - f) t1 (1 + v) = t
		per := 1 + (1-quick)*spread
		t1 := mean / per / 4
		t1By := [3]float64{t1, -t1 * (1 - quick) * spread / per, t1 * spread / per * quickBy}
		first := bodyBranch{part: quick, quarterS: t1, partBy: [3]float64{2: quickBy}, quarterSBy: t1By}
		second := bodyBranch{part: 1 - quick, quarterS: t1 * (1 + spread), partBy: [3]float64{2: -quickBy}}
		for j := range t1By {
			second.quarterSBy[j] = t1By[j] * (1 + spread)
		}
		second.quarterSBy[1] += t1 * spread
		add(first)
		add(second)
		return b
	}
	add(bodyBranch{part: quick, quarterS: quickTransit * mean / 4, partBy: [3]float64{2: quickBy}, quarterSBy: [3]float64{quickTransit * mean / 4}})
	// f t/5 + (1 - f) t' = t
	rest := (1 - quick*quickTransit) / (1 - quick)
	restBy := (1 - quickTransit) / ((1 - quick) * (1 - quick)) * quickBy
	for _, node := range hermite {
		z, w := node[0], node[1]
		factor := math.Exp(spread*z-spread*spread/2) * mean / 4
		q := factor * rest
		add(bodyBranch{
			part: (1 - quick) * w, quarterS: q,
			partBy:     [3]float64{2: -quickBy * w},
			quarterSBy: [3]float64{q, q * spread * (z - spread), factor * restBy},
		})
	}
	return b
}

// at gives the transform at s, and its derivatives by the three parameters if wanted.
func (b *body) at(s complex128, wanted bool, by *[3]complex128) (value complex128) {
	for i := range b.branches[:b.n] {
		x := &b.branches[i]
		over := over1(1 + times(x.quarterS, s))
		square := over * over
		g := square * square
		value += times(x.part, g)
		if !wanted {
			continue
		}
		byQuarter := times(-4*x.part, s*over*g)
		for j := range by {
			if x.partBy[j] != 0 {
				by[j] += times(x.partBy[j], g)
			}
			by[j] += times(x.quarterSBy[j], byQuarter)
		}
	}
	return value
}
