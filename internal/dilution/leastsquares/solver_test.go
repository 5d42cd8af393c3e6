package leastsquares

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// straight is y = p0 + p1 x without error.
func straight(intercept, slope float64) *formula {
	m := &formula{f: line}
	for i := range 20 {
		x := float64(i)
		m.x, m.y = append(m.x, x), append(m.y, intercept+slope*x)
	}
	return m
}

func TestPriorAndDataAreWeighedByTheirVariances(t *testing.T) {
	// One observation 3 of SD 1 and a prior 0 of SD 0.5: mean 3 (1)/(1 + 4) and variance
	// 1/(1 + 4), the product of two Gaussians.
	m := &formula{x: []float64{1}, y: []float64{3}, f: func(x float64, p, d *Vector) float64 { d[0] = 1; return p[0] }}
	r := NewSolver(1, 1).Fit(m, 1, []Limits{{Mean: 0, SD: 0.5}}, Vector{7}, Options{})
	if math.Abs(r.P[0]-0.6) > 1e-12 || math.Abs(r.Covariance[0][0]-0.2) > 1e-12 || !r.End.Found() {
		t.Errorf("mean %g (0.6 wanted), variance %g (0.2 wanted), %s", r.P[0], r.Covariance[0][0], r.End)
	}
}

func TestBoundHoldsAndOtherParametersFindTheirBest(t *testing.T) {
	// With the slope held at most 1 where 2 is true, the best intercept is the mean of
	// what is left: mean(y) - mean(x) = 5 + 9.5 (2 - 1).
	r := NewSolver(20, 2).Fit(straight(5, 2), 20, []Limits{{}, {Lower: -1, Upper: 1}}, Vector{0, 0.5}, Options{})
	if r.P[1] != 1 || math.Abs(r.P[0]-14.5) > 1e-9 || !r.End.Found() {
		t.Errorf("intercept %g (14.5 wanted), slope %g (1 wanted), %s", r.P[0], r.P[1], r.End)
	}
	if r.Covariance[1][1] != 0 {
		t.Errorf("variance %g of a parameter at its bound, 0 wanted", r.Covariance[1][1])
	}
}

func TestParameterLeavesABoundThatItStartedAt(t *testing.T) {
	r := NewSolver(20, 2).Fit(straight(5, 2), 20, []Limits{{}, {Lower: 1, Upper: 9}}, Vector{0, 1}, Options{})
	if math.Abs(r.P[1]-2) > 1e-9 {
		t.Errorf("slope %g, 2 wanted", r.P[1])
	}
}

func TestFixedParameterStays(t *testing.T) {
	r := NewSolver(20, 2).Fit(straight(5, 2), 20, []Limits{{}, {Fixed: true}}, Vector{0, 0}, Options{})
	if r.P[1] != 0 || math.Abs(r.P[0]-24) > 1e-9 {
		t.Errorf("mean %g (24 wanted) with slope %g (0 wanted)", r.P[0], r.P[1])
	}
}

func TestEveryEndIsReached(t *testing.T) {
	constant := func(f func(p float64) (y, slope float64)) *formula {
		return &formula{x: []float64{0}, y: []float64{0}, f: func(x float64, p, d *Vector) float64 {
			y, slope := f(p[0])
			d[0] = slope
			return y
		}}
	}
	for _, c := range []struct {
		name    string
		model   *formula
		limits  Limits
		start   float64
		options Options
		want    End
	}{
		{"a flat place", constant(func(p float64) (float64, float64) { return 1 + p*p, 2 * p }), Limits{}, 0, Options{}, SmallGradient},
		{"a bowl", constant(func(p float64) (float64, float64) { return 1 + p*p, 2 * p }), Limits{}, 1, Options{}, SmallFall},
		{"good enough", constant(func(p float64) (float64, float64) { return p, 1 }), Limits{}, 1, Options{Enough: 2, Iterations: 5}, Enough},
		{"no number at the start", constant(func(p float64) (float64, float64) { return math.NaN(), 1 }), Limits{}, 1, Options{}, NotFinite},
		{"nothing is free", constant(func(p float64) (float64, float64) { return p, 1 }), Limits{Fixed: true}, 1, Options{}, NothingToFit},
		{"slow", constant(func(p float64) (float64, float64) { return math.Exp(-p), -math.Exp(-p) }), Limits{}, 0, Options{Iterations: 3}, TooManySteps},
		{"a derivative that points the wrong way", constant(func(p float64) (float64, float64) { return 1 + math.Ceil(math.Abs(p)), -1 }), Limits{}, 0, Options{Iterations: 500, Step: 1e-300, Fall: 1e-300, Gradient: 1e-300}, Stalled},
	} {
		if r := NewSolver(1, 1).Fit(c.model, 1, []Limits{c.limits}, Vector{c.start}, c.options); r.End != c.want {
			t.Errorf("%s ended with %q, %q wanted", c.name, r.End, c.want)
		}
	}
	if r := NewSolver(0, 1).Fit(straight(0, 0), 0, []Limits{{}}, Vector{}, Options{}); r.End != NothingToFit {
		t.Errorf("no residual ended with %q", r.End)
	}
}

func TestTwoParametersThatDoTheSameAreCalledSingular(t *testing.T) {
	m := straight(5, 2)
	m.f = func(x float64, p, d *Vector) float64 { d[0], d[1] = 1, 1; return p[0] + p[1] }
	r := NewSolver(20, 2).Fit(m, 20, []Limits{{}, {}}, Vector{1, 2}, Options{})
	if !r.Singular || r.Covariance != [Max][Max]float64{} || math.Abs(r.P[0]+r.P[1]-24) > 1e-9 {
		t.Errorf("singular %t, sum of both %g (24 wanted)", r.Singular, r.P[0]+r.P[1])
	}
}

func TestStepsIntoWhatIsNotFiniteAreTakenBack(t *testing.T) {
	// ln p has no value below 0, where the first full step from 9 leads.
	m := &formula{x: []float64{0}, y: []float64{-2}, f: func(x float64, p, d *Vector) float64 { d[0] = 1 / p[0]; return math.Log(p[0]) }}
	r := NewSolver(1, 1).Fit(m, 1, []Limits{{}}, Vector{9}, Options{})
	if math.Abs(r.P[0]-math.Exp(-2)) > 1e-9 || !r.End.Found() {
		t.Errorf("%g, exp(-2) wanted, %s", r.P[0], r.End)
	}
}

func TestAnyLineIsFoundFromAnywhere(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.Float64Range(-100, 100)
		intercept, slope := number.Draw(t, "intercept"), number.Draw(t, "slope")
		start := Vector{number.Draw(t, "from"), number.Draw(t, "with slope")}
		r := NewSolver(20, 2).Fit(straight(intercept, slope), 20, []Limits{{}, {}}, start, Options{})
		if math.Abs(r.P[0]-intercept) > 1e-6 || math.Abs(r.P[1]-slope) > 1e-7 {
			t.Fatalf("found %g + %g x, true is %g + %g x (%s)", r.P[0], r.P[1], intercept, slope, r.End)
		}
	})
}

func TestFitAllocatesNothing(t *testing.T) {
	c := readCertified(t, "Hahn1")
	m := &formula{y: c.y, x: c.x, f: rational(4, 3)}
	solver, limits := NewSolver(len(c.y), c.parameters), make([]Limits, c.parameters)
	if n := testing.AllocsPerRun(10, func() { solver.Fit(m, len(c.y), limits, c.starts[0], Options{}) }); n != 0 {
		t.Errorf("%v allocations a fit, none wanted", n)
	}
}

// BenchmarkHahn1 is a whole fit of 7 parameters to 236 values, in some 20 steps.
func BenchmarkHahn1(b *testing.B) {
	c := readCertified(b, "Hahn1")
	m := &formula{y: c.y, x: c.x, f: rational(4, 3)}
	solver, limits := NewSolver(len(c.y), c.parameters), make([]Limits, c.parameters)
	b.ReportAllocs()
	for b.Loop() {
		solver.Fit(m, len(c.y), limits, c.starts[0], Options{})
	}
}
