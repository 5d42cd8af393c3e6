package dilution

import (
	"math"

	"saltmark/internal/dilution/leastsquares"
)

// The first pass as a gamma-variate,
//
//	H(t) = P (x exp(1 - x))^a,   x = (t - t0)/(a b),   for t > t0, else 0
//
// which has its peak P at t0 + a b, by least squares from the arrival to where the curve
// has fallen to 35 % of its peak; recirculation beyond does not matter then. Its moments
// in closed form, with A0 = P (a b)^-a exp(a):
//
//	area A0 b^(a+1) Gamma(a+1),  mean t0 + b (a+1),  variance b^2 (a+1).
//
// Source: Thompson HK and others. Circ Res 1964;14:502-515 (from memory); the moments
// as in the NIBIB Physiome model 53. The limit of 35 % is common practice, no source. On
// simulated circulations it reads high with a left-to-right shunt.

// gammaLast is the part of the peak down to which the gamma-variate is fitted.
const gammaLast = 0.35

// gammaVariate is one: peak without unit, times in s.
type gammaVariate struct{ peak, t0, a, b float64 }

func (g gammaVariate) at(t float64) float64 {
	x := (t - g.t0) / (g.a * g.b)
	if !(x > 0) {
		return 0
	}
	return g.peak * math.Exp(g.a*(math.Log(x)+1-x))
}

func (g gammaVariate) moments() moments {
	gamma, _ := math.Lgamma(g.a + 1)
	area := g.peak * g.b * math.Exp(g.a-g.a*math.Log(g.a)+gamma)
	return moments{areaS: area, meanS: g.t0 + g.b*(g.a+1), varianceS2: g.b * g.b * (g.a + 1)}
}

// The parameters as they are fitted, scaled so that all are near 1: peak by that of the
// samples; rise a b and t0 by the time from arrival to peak; logarithm of a.
const (
	gammaPeak = iota
	gammaStart
	gammaRise
	gammaShape
	gammaParameters
)

// gammaModel holds the samples, in units of their peak and of the time from arrival to peak.
type gammaModel struct{ t, h []float64 }

// Evaluate implements leastsquares.Model.
func (m *gammaModel) Evaluate(p *leastsquares.Vector, residuals []float64, derivatives *leastsquares.Columns) {
	a, rise := math.Exp(p[gammaShape]), p[gammaRise]
	for i, t := range m.t {
		x := (t - p[gammaStart]) / rise
		y, log := 0.0, 0.0
		if x > 0 {
			log = math.Log(x) + 1 - x
			y = p[gammaPeak] * math.Exp(a*log)
		}
		residuals[i] = y - m.h[i]
		if derivatives == nil {
			continue
		}
		inner := 0.0 // derivative by x
		if x > 0 {
			inner = y * a * (1/x - 1)
		}
		derivatives[gammaPeak][i] = y / p[gammaPeak]
		derivatives[gammaStart][i] = -inner / rise
		derivatives[gammaRise][i] = -inner * x / rise
		derivatives[gammaShape][i] = y * a * log
	}
}

// gammaLimits keep the shape where the curve and its derivatives are finite.
var gammaLimits = [gammaParameters]leastsquares.Limits{
	gammaPeak:  {Lower: 0.2, Upper: 5},
	gammaStart: {Lower: -8, Upper: 0.9},
	gammaRise:  {Lower: 0.05, Upper: 10},
	gammaShape: {Lower: math.Log(1.05), Upper: math.Log(60)},
}

// fitGammaVariate separates the first pass by a gamma-variate. Arguments are as for
// exponential.
func fitGammaVariate(startS, stepS float64, h []float64, arrivalS float64) separated {
	from := min(max(int(math.Ceil((arrivalS-startS)/stepS)), 0), len(h))
	d, ok := findDownslope(h[from:], slopeAverage, slopeUpper, gammaLast, slopeUpper, slopeStalls)
	if !ok || d.peak < 2 {
		return notSeparated()
	}
	to := from + d.to
	peak, rise := 0.0, float64(d.peak)*stepS
	for _, x := range h[from:to] {
		peak = max(peak, x)
	}
	arrival := startS + float64(from)*stepS
	m := gammaModel{}
	for i, x := range h[from:to] {
		m.t, m.h = append(m.t, float64(i)*stepS/rise), append(m.h, x/peak)
	}
	if len(m.t) < 2*gammaParameters {
		return notSeparated()
	}
	solver := leastsquares.NewSolver(len(m.t), gammaParameters)
	start := leastsquares.Vector{gammaPeak: 1, gammaRise: 1, gammaShape: math.Log(3)}
	found := solver.Fit(&m, len(m.t), gammaLimits[:], start,
		leastsquares.Options{Gradient: 1e-8, Step: 1e-8, Fall: 1e-12, Iterations: 60})
	if found.End == leastsquares.NotFinite {
		return notSeparated()
	}
	a := math.Exp(found.P[gammaShape])
	g := gammaVariate{
		peak: peak * found.P[gammaPeak], t0: arrival + rise*found.P[gammaStart],
		a: a, b: rise * found.P[gammaRise] / a,
	}
	s := separated{moments: g.moments(), fromS: arrival, toS: startS + float64(to-1)*stepS, first: make([]float64, len(h))}
	if !s.sound() {
		return notSeparated()
	}
	for i := range h {
		s.first[i] = g.at(startS + float64(i)*stepS)
	}
	return s
}
