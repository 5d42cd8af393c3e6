package dilution

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/integrate"
	"pgregory.net/rapid"
)

// every gives times from a start on.
func every(start, step float64, n int) []float64 {
	t := make([]float64, n)
	for i := range t {
		t[i] = start + float64(i)*step
	}
	return t
}

// Curves of textbooks whose area by Simpson's rule gives a printed flow: a check of how
// dose, area and unit go together, with a rule of integration that is not ours.
func TestFlowOfPrintedCurves(t *testing.T) {
	for _, c := range []struct {
		source        string
		doseMg, stepS float64
		mgPerL        []float64
		areaS         float64
		litrePerMin   float64
	}{
		// Dose, step and method: Stewart J, Calculus, 8.4, exercise 22; the table from
		// memory; the figures computed from it.
		{"Stewart, exercise 22", 5.5, 2, []float64{0, 4.1, 8.9, 8.5, 6.7, 4.3, 2.5, 1.2, 0.2}, 72.5333, 4.54963},
		// Stewart, example 2, from memory.
		{"Stewart, example 2", 5, 1, []float64{0, 0.4, 2.8, 6.5, 9.8, 8.9, 6.1, 4.0, 2.3, 1.1, 0}, 41.8667, 7.1656},
		// Problem 30 of a single-variable calculus book, printed 0.0752 L/s.
		{"single-variable calculus", 5, 1, []float64{0, 3.8, 6.8, 8.6, 9.7, 10.2, 9.4, 8.2, 6.1, 3.1, 0}, 66.5333, 4.50902},
	} {
		got := area(c.stepS, c.mgPerL)
		if flow := 60 * c.doseMg / got; math.Abs(got-c.areaS) > 1e-4 || math.Abs(flow-c.litrePerMin) > 1e-4 {
			t.Errorf("%s: area %.4f (%.4f printed), flow %.5f L/min (%.5f)", c.source, got, c.areaS, flow, c.litrePerMin)
		}
		// Our own sum is by trapezoids; the curves are smooth, so it agrees to 3 %.
		if m := momentsWithTail(0, c.stepS, c.mgPerL, tail{}); math.Abs(m.areaS/c.areaS-1) > 0.03 {
			t.Errorf("%s: %.4f by trapezoids", c.source, m.areaS)
		}
	}
}

// Stewart's curve c = 20 t exp(-0.6 t), 6 mg, 0 to 10 s: area 54.591596 mg s/L,
// 6.59442 L/min (the curve with another dose is printed; computed in closed form).
func TestFlowOfACurveInClosedForm(t *testing.T) {
	h := make([]float64, 1001)
	for i := range h {
		x := float64(i) * 0.01
		h[i] = 20 * x * math.Exp(-0.6*x)
	}
	m := momentsWithTail(0, 0.01, h, tail{})
	if math.Abs(m.areaS-54.591596) > 1e-3 || math.Abs(60*6/m.areaS-6.59442) > 1e-4 {
		t.Errorf("area %.6f, flow %.5f L/min", m.areaS, 60*6/m.areaS)
	}
}

// Guyton AC, Hall JE, Textbook of Medical Physiology, dye dilution: 5 mg, mean 0.25 mg/dL
// over 12 s, so 10 L/min (mean, time and flow from memory).
func TestFlowOfASteadyConcentration(t *testing.T) {
	h := make([]float64, 13)
	for i := range h {
		h[i] = 2.5 // mg/L
	}
	if m := momentsWithTail(0, 1, h, tail{}); math.Abs(60*5/m.areaS-10) > 1e-12 {
		t.Errorf("flow %g L/min, 10 wanted", 60*5/m.areaS)
	}
}

// hamilton is problem 24.10 of Chapra SC, Canale RP, Numerical Methods for Engineers, 5th
// edition: 5.6 mg, mg/L every 2 s from 5 s on, recirculation from 25 s. A "9.5 L/min" in
// the copy that was seen is wrong; the figures below are computed from the table.
var hamilton = []float64{0, 0.1, 0.11, 0.4, 4.1, 9.1, 8, 4.2, 2.3, 1.1, 0.9, 1.75, 2.06, 2.25, 2.32, 2.43}

func TestLogarithmicLineOfHamilton(t *testing.T) {
	for _, c := range []struct {
		fromS, slope, area, litrePerMin float64
	}{
		{17, -0.327728, 61.0764, 5.5013},
		{15, -0.273623, 61.7401, 5.4422},
		{19, -0.334944, 61.0041, 5.5078},
	} {
		times := every(5, 2, len(hamilton))
		from, to := int(c.fromS-5)/2, int(23-5)/2+1
		slope := leastSquares(to-from, func(i int) (x, y, weight float64) { return times[from+i], math.Log(hamilton[from+i]), 1 }).slope
		m := momentsWithTail(5, 2, hamilton[:to], tail{fromS: 23, height: hamilton[to-1], ratePerS: -slope})
		if math.Abs(slope-c.slope) > 1e-6 || math.Abs(m.areaS-c.area) > 1e-4 || math.Abs(60*5.6/m.areaS-c.litrePerMin) > 1e-4 {
			t.Errorf("from %g s: slope %.6f (%.6f), area %.4f (%.4f), flow %.4f (%.4f)",
				c.fromS, slope, c.slope, m.areaS, c.area, 60*5.6/m.areaS, c.litrePerMin)
		}
	}
}

// Integral by gonum, of the same heights and the tail to where nothing is left.
func TestMomentsWithTailAreThoseOfAnIndependentQuadrature(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		height, rate := rapid.Float64Range(0.1, 5).Draw(t, "height"), rapid.Float64Range(0.1, 2).Draw(t, "rate")
		start, step := rapid.Float64Range(-5, 20).Draw(t, "start"), 0.01
		n := rapid.IntRange(50, 300).Draw(t, "samples")
		h := make([]float64, n)
		for i := range h {
			h[i] = height * math.Sin(math.Pi/2*float64(i)/float64(n-1))
		}
		end := start + float64(n-1)*step
		m := momentsWithTail(start, step, h, tail{fromS: end, height: height, ratePerS: rate})
		for i := 1; float64(i)*step*rate < 40; i++ {
			h = append(h, height*math.Exp(-rate*float64(i)*step))
		}
		x := every(start, step, len(h))
		integral := func(power int) float64 {
			y := make([]float64, len(h))
			for i := range y {
				y[i] = h[i] * math.Pow(x[i], float64(power))
			}
			return integrate.Simpsons(x, y)
		}
		a := integral(0)
		mean := integral(1) / a
		variance := integral(2)/a - mean*mean
		if math.Abs(m.areaS/a-1) > 1e-4 || math.Abs(m.meanS-mean) > 1e-3 || math.Abs(m.varianceS2-variance) > 1e-3*(1+variance) {
			t.Fatalf("area %g, mean %g, variance %g; quadrature %g, %g, %g", m.areaS, m.meanS, m.varianceS2, a, mean, variance)
		}
	})
}

// A = 2, t0 = 4, a = 3, b = 1.5: area 60.75, mean 10, variance 9, peak 9.0736932 at 8.5.
// Source of the moments: NIBIB Physiome model 53.
func TestMomentsOfGammaVariateInClosedForm(t *testing.T) {
	g := gammaVariate{peak: 2 * math.Pow(4.5, 3) * math.Exp(-3), t0: 4, a: 3, b: 1.5}
	m := g.moments()
	if math.Abs(m.areaS-60.75) > 1e-9 || math.Abs(m.meanS-10) > 1e-12 || math.Abs(m.varianceS2-9) > 1e-12 || math.Abs(g.at(8.5)-9.0736932) > 1e-7 {
		t.Errorf("area %g (60.75), mean %g (10), variance %g (9), %g at 8.5 (9.0736932)", m.areaS, m.meanS, m.varianceS2, g.at(8.5))
	}
	if g.at(4) != 0 || g.at(-1) != 0 {
		t.Error("there is indicator before it arrives")
	}
}

// n equal tanks of together V at Q: mean V/Q, variance V^2/(n Q^2). V 100 mL, n 4, Q 10
// mL/s: 10 s, 25 s2 (Erlang's distribution; computed).
func TestMomentsOfFourTanks(t *testing.T) {
	h := make([]float64, 12000)
	for i := range h {
		h[i] = gammaDensity(float64(i)*0.01, 10, 4)
	}
	m := momentsWithTail(0, 0.01, h, tail{})
	if math.Abs(m.areaS-1) > 1e-6 || math.Abs(m.meanS-10) > 1e-4 || math.Abs(m.varianceS2-25) > 1e-3 {
		t.Errorf("area %g, mean %g, variance %g", m.areaS, m.meanS, m.varianceS2)
	}
	if d := relativeDispersion(m, enters(1e9, 0, 1, 1e-6), 0); math.Abs(d-0.25) > 1e-4 {
		t.Errorf("squared relative dispersion %g, 1/4 wanted", d)
	}
}

// upAndDown is a straight rise to a peak of 0.05 at 10 s, then an exponential.
func upAndDown(rate float64) []float64 {
	h := make([]float64, 900)
	for i := range h {
		if t := float64(i) * 0.1; t > 5 && t <= 10 {
			h[i] = 0.05 * (t - 5) / 5
		} else if t > 10 {
			h[i] = 0.05 * math.Exp(-rate*(t-10))
		}
	}
	return h
}

func TestExponentialFindsAnExponential(t *testing.T) {
	h := upAndDown(0.2)
	for i := 220; i < len(h); i++ {
		h[i] += 0.008 // indicator comes back, after 20 % of the peak
	}
	s := exponential(0, 0.1, h, 4)
	want := 0.05*5/2 + 0.05/0.2
	if s.withheld != "" || math.Abs(s.beyond.ratePerS-0.2) > 1e-9 || math.Abs(s.areaS/want-1) > 2e-4 {
		t.Errorf("rate %g (0.2), area %g (%g), %q", s.beyond.ratePerS, s.areaS, want, s.withheld)
	}
	if got := integrate.Trapezoidal(every(0, 0.1, 900), s.first); math.Abs(got/s.areaS-1) > 1e-3 {
		t.Errorf("the first pass that is shown has the area %g, stated %g", got, s.areaS)
	}
}

func TestGammaVariateFindsAGammaVariate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(1.5, 8).Draw(t, "a")
		g := gammaVariate{peak: 0.05, t0: rapid.Float64Range(2, 8).Draw(t, "t0"), a: a, b: rapid.Float64Range(1, 6).Draw(t, "rise") / a}
		h := make([]float64, 900)
		for i := range h {
			h[i] = g.at(float64(i) * 0.1)
		}
		s, want := fitGammaVariate(0, 0.1, h, g.t0), g.moments()
		if s.withheld != "" || math.Abs(s.areaS/want.areaS-1) > 1e-4 || math.Abs(s.meanS/want.meanS-1) > 1e-3 {
			t.Fatalf("area %g (%g), mean %g (%g), %q", s.areaS, want.areaS, s.meanS, want.meanS, s.withheld)
		}
	})
}

func TestWhatIsNoCurveIsNotSeparated(t *testing.T) {
	flat, rising, gap := make([]float64, 900), make([]float64, 900), upAndDown(0.2)
	for i := range rising {
		rising[i] = float64(i)
	}
	gap[150] = math.NaN()
	infinite := upAndDown(0.2)
	infinite[100] = math.Inf(1)
	for name, h := range map[string][]float64{"nothing": nil, "one sample": {1}, "flat": flat, "rising": rising, "infinite": infinite, "not a number in it": gap} {
		for way, s := range map[string]separated{"exponential": exponential(0, 0.1, h, 0), "gamma-variate": fitGammaVariate(0, 0.1, h, 0)} {
			if s.withheld == "" {
				t.Errorf("%s: the %s gives an area of %g", name, way, s.areaS)
			}
		}
	}
}

func TestSeparationsGiveANumberOrNone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := rapid.SliceOfN(rapid.Float64(), 0, 200).Draw(t, "h")
		at := rapid.Float64Range(-100, 100).Draw(t, "arrival")
		for way, s := range map[string]separated{"exponential": exponential(-3, 0.1, h, at), "gamma-variate": fitGammaVariate(-3, 0.1, h, at)} {
			if s.withheld == "" && !(finite(s.areaS, s.meanS, s.varianceS2) && s.areaS > 0 && s.varianceS2 > 0) {
				t.Fatalf("%s: %+v", way, s.moments)
			}
		}
	})
}

func BenchmarkExponential(b *testing.B) {
	h := upAndDown(0.2)
	for b.Loop() {
		exponential(0, 0.1, h, 4)
	}
}

func BenchmarkGammaVariate(b *testing.B) {
	h := upAndDown(0.2)
	for b.Loop() {
		fitGammaVariate(0, 0.1, h, 4)
	}
}

// A curve that comes down to a plateau, as blood that comes back holds it up, has a slope
// to the plateau and not along it; a plateau that is too high leaves none.
func TestAPlateauIsNoDownslope(t *testing.T) {
	g := gammaVariate{peak: 1, t0: 0, a: 3, b: 2}
	for _, c := range []struct {
		plateau  float64
		withheld bool
	}{{0, false}, {0.27, false}, {0.4, true}, {0.45, true}} {
		h := make([]float64, 600)
		for i := range h {
			// It falls by a tenth in a quarter of a minute, and never rises.
			h[i] = max(g.at(float64(i)*gridStepS), c.plateau*math.Exp(-float64(max(i-150, 0))*gridStepS/150))
			if i < 60 {
				h[i] = g.at(float64(i) * gridStepS)
			}
		}
		s := exponential(0, gridStepS, h, 0)
		if (s.withheld != "") != c.withheld {
			t.Errorf("plateau %v: withheld %q, %v to %v s", c.plateau, s.withheld, s.fromS, s.toS)
		}
		if s.withheld == "" && s.toS > 25 {
			t.Errorf("plateau %v: the slope ends at %v s", c.plateau, s.toS)
		}
	}
}
