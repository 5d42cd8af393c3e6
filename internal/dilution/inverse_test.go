package dilution

import (
	"math"
	"math/cmplx"
	"slices"
	"testing"
)

// gammaDensity is the gamma law of mean m and order n at t, in closed form.
func gammaDensity(t, m, n float64) float64 {
	if t <= 0 {
		return 0
	}
	scale := m / n
	log, _ := math.Lgamma(n)
	return math.Exp((n-1)*math.Log(t/scale)-t/scale-log) / scale
}

// exponentialsInARow is the density of a sum of exponential times with different means,
// in closed form.
func exponentialsInARow(t float64, means ...float64) float64 {
	if t <= 0 {
		return 0
	}
	sum := 0.0
	for i, a := range means {
		weight := 1 / a
		for j, b := range means {
			if i != j {
				weight *= a / (a - b)
			}
		}
		sum += weight * math.Exp(-t/a)
	}
	return sum
}

// blurredExponential is an exponential of mean m seen through a Gaussian of standard
// deviation d around the time at, in closed form.
func blurredExponential(t, m, d, at float64) float64 {
	t -= at
	return math.Exp(d*d/(2*m*m)-t/m) * math.Erfc((d/m-t/d)/math.Sqrt2) / (2 * m)
}

// The kernels are those that fit into the band of frequencies of the grid. One with a jump,
// as a bare exponential, fits into none; it is compared as the circulation shows it,
// behind other exponentials, and blurred.
func TestInverseIsTheClosedFormToAMillionthOfThePeak(t *testing.T) {
	for _, c := range []struct {
		name      string
		samples   int
		step      float64
		transform func(s complex128) complex128
		closed    func(t float64) float64
	}{
		{"gamma of order 4, mean 12 s", 1024, 0.1, func(s complex128) complex128 { return gammaKernel(s, 12, 4) }, func(t float64) float64 { return gammaDensity(t, 12, 4) }},
		{"gamma of order 5.5, mean 7 s", 1024, 0.1, func(s complex128) complex128 { return gammaKernel(s, 7, 5.5) }, func(t float64) float64 { return gammaDensity(t, 7, 5.5) }},
		{"gamma of order 6, mean 12 s", 512, 0.2, func(s complex128) complex128 { return gammaKernel(s, 12, 6) }, func(t float64) float64 { return gammaDensity(t, 12, 6) }},
		{"gamma of order 12, delayed by 5 s", 512, 0.2,
			func(s complex128) complex128 { return gammaKernel(s, 12, 12) * cmplx.Exp(-5*s) }, func(t float64) float64 { return gammaDensity(t-5, 12, 12) }},
		{"five exponentials in a row", 1024, 0.1,
			func(s complex128) complex128 {
				return gammaKernel(s, 1, 1) * gammaKernel(s, 1.5, 1) * gammaKernel(s, 2, 1) * gammaKernel(s, 2.7, 1) * gammaKernel(s, 5, 1)
			},
			func(t float64) float64 { return exponentialsInARow(t, 1, 1.5, 2, 2.7, 5) }},
		{"an exponential, blurred by 0.25 s", 1024, 0.1,
			func(s complex128) complex128 { return gammaKernel(s, 5, 1) * cmplx.Exp(s*s*0.25*0.25/2-6*s) },
			func(t float64) float64 { return blurredExponential(t, 5, 0.25, 6) }},
	} {
		v := newInverse(c.samples, c.step)
		f, transform := make([]float64, c.samples), make([]complex128, len(v.line))
		for k, s := range v.line {
			transform[k] = c.transform(s)
		}
		v.invert(f, transform)
		want := make([]float64, c.samples)
		for j := range want {
			want[j] = c.closed(float64(j) * c.step)
		}
		peak := slices.Max(want)
		worst := 0.0
		for j := range c.samples * 4 / 5 {
			worst = max(worst, math.Abs(f[j]-want[j])/peak)
		}
		t.Logf("%s: %.1e of the peak", c.name, worst)
		if worst > 1e-6 {
			t.Errorf("%s: off by %g of the peak", c.name, worst)
		}
	}
}

func TestTubeTakesTheMeanOfThePlugAndSpreadsAsTheParabolaSays(t *testing.T) {
	for _, c := range []struct{ part, variance float64 }{
		{0, 0},
		{0.5, math.Log(3)/1 - 1}, // ln((1 + p)/(1 - p))/(2 p) - 1 (calculus)
		{0.8, math.Log(9)/1.6 - 1},
	} {
		var mean, square float64
		var layers [layersOfATube]tubeLayer
		tubeLayers(layers[:], c.part)
		for _, x := range layers {
			mean += x.share * x.transit
			square += x.share * x.transit * x.transit
		}
		if math.Abs(mean-1) > 1e-12 || math.Abs(square-1-c.variance) > 0.02 {
			t.Errorf("part %g: mean %g, variance %g; 1 and %g wanted", c.part, mean, square-1, c.variance)
		}
	}
}

func TestTubeOnTheLineIsItsLayers(t *testing.T) {
	v := newInverse(64, 0.5)
	out := make([]complex128, len(v.line))
	addTube(out, v.line, 3, 0.7)
	var layers [layersOfATube]tubeLayer
	tubeLayers(layers[:], 0.7)
	for k, s := range v.line {
		var want complex128
		for _, x := range layers {
			want += cmplx.Exp(-s*complex(3*x.transit, 0)) * complex(x.share, 0)
		}
		if cmplx.Abs(out[k]-want) > 1e-13 {
			t.Fatalf("at %v: %v, %v wanted", s, out[k], want)
		}
	}
}

func BenchmarkInverse1024(b *testing.B) {
	v := newInverse(1024, 0.1)
	f, transform := make([]float64, 1024), make([]complex128, len(v.line))
	for k, s := range v.line {
		transform[k] = gammaKernel(s, 8, 4)
	}
	b.ReportAllocs()
	for b.Loop() {
		v.invert(f, transform)
	}
}
