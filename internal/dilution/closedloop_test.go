package dilution

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"saltmark/internal/dilution/leastsquares"
)

// forms has every structure that is fitted somewhere.
var forms = map[string]structure{
	"no shunt":                       {},
	"left to right":                  {LeftToRight: true},
	"right to left":                  {RightToLeft: true},
	"broad body":                     {BroadBody: true},
	"broad body, two paths":          {BroadBody: true, TwoPaths: true},
	"everything":                     {LeftToRight: true, RightToLeft: true, BroadBody: true, TwoPaths: true},
	"left to right, broad, two ways": {LeftToRight: true, BroadBody: true, TwoPaths: true},
}

// child is a recording without its curve.
func child() loopProblem {
	return loopProblem{
		startS: -10, noise: [4]float64{1e-5, 1e-5, 1e-5, 1e-5}, levelSD: 1e-5, slopePerSSD: 1e-6,
		loop:     Loop{FlowMLs: 1, ArteryToSensorML: 2, SensorToPortML: 3, PortToSensorML: 0.5, SensorToVeinML: 1.5},
		volumeML: 10, durationS: 3, tubePart: 0.5, bloodML: 1200,
	}
}

// ready sets a fitter up for a recording of the child whose curve is of no matter.
func ready(form structure) (*loopFitter, leastsquares.Vector) {
	f := newLoopFitter()
	p := child()
	p.h = make([]float64, 900)
	for i := range p.h {
		p.h[i] = gammaDensity(float64(i)*0.1-13, 12, 4)
	}
	f.fit(p, form)
	at := leastsquares.Vector{}
	for j := range at[:loopParameters] {
		at[j] = f.limits[j].Mean + 0.3*f.limits[j].SD
	}
	return f, at
}

func TestDerivativesOfTheLoopAreThoseOfCentralDifferences(t *testing.T) {
	for name, form := range forms {
		f, at := ready(form)
		n := len(f.rows) + loopExtra
		var analytic leastsquares.Columns
		for j := range loopParameters {
			analytic[j] = make([]float64, n)
		}
		f.Evaluate(&at, make([]float64, n), &analytic)
		for j := range loopParameters {
			if f.limits[j].Fixed {
				continue
			}
			const step = 1e-4
			above, below := make([]float64, n), make([]float64, n)
			p := at
			p[j] = at[j] + step
			f.Evaluate(&p, above, nil)
			p[j] = at[j] - step
			f.Evaluate(&p, below, nil)
			scale, worst := 0.0, 0.0
			for i := range above {
				numeric := (above[i] - below[i]) / (2 * step)
				scale = max(scale, math.Abs(numeric))
				worst = max(worst, math.Abs(numeric-analytic[j][i]))
			}
			if scale == 0 || worst > 1e-6*scale {
				t.Errorf("%s, parameter %d: off by %.1e of its scale %g", name, j, worst/scale, scale)
			}
		}
	}
}

// loopOfTanks is a closed loop whose every part is a tank or a delay, stepped through time:
// heart and lungs a delay and a chamber and five tanks, the body two branches of four
// tanks, tubes plugs. The loop takes its share to the vein.
func loopOfTanks(p loopProblem, flow, muS float64) []float64 {
	const dt = 0.005
	delayS, chamberS, lungS := 0.3*muS, 0.2*muS, 0.5*muS
	quickS, slowS := 8.0, 35.0
	tank := func(c *float64, in, meanS float64) float64 { // trapezoidal rule
		x := dt / meanS / 2
		before := *c
		*c = (before*(1-x) + 2*x*in) / (1 + x)
		return (before + *c) / 2
	}
	line := func(s float64) func(in float64) float64 {
		ring, at := make([]float64, max(int(math.Round(s/dt)), 1)), 0
		return func(in float64) float64 {
			out := ring[at]
			ring[at] = in
			at = (at + 1) % len(ring)
			return out
		}
	}
	around := line((p.loop.ArteryToSensorML + p.loop.SensorToPortML + p.loop.PortToSensorML + p.loop.SensorToVeinML) / p.loop.FlowMLs)
	artery, delay := line(p.arteryS()), line(delayS)
	enters := enters(p.loop.FlowMLs, p.loop.PortToSensorML+p.loop.SensorToVeinML, p.volumeML, p.durationS)
	var chamber, c float64
	var lungs [5]float64
	var quick, slow [4]float64
	skip := skipped(p.startS, len(p.h))
	out := make([]float64, len(p.h))
	per := int(math.Round(gridStepS / dt))
	var back float64 // concentration that comes back
	for i := range (len(p.h) - skip) * per {
		t := (float64(i)+0.5)*dt - gridStepS/2 + p.startS + float64(skip)*gridStepS
		rate := 0.0
		for _, step := range enters.steps {
			if t >= step.fromS && t < step.toS {
				rate += step.share / (step.toS - step.fromS) * p.volumeML
			}
		}
		x := tank(&chamber, delay(back+rate/flow), chamberS)
		for j := range lungs {
			x = tank(&lungs[j], x, lungS/5)
		}
		c = x
		a, b := c, c
		for j := range quick {
			a, b = tank(&quick[j], a, quickS/4), tank(&slow[j], b, slowS/4)
		}
		lambda := p.loop.FlowMLs / flow
		back = lambda*around(c) + (1-lambda)*(0.4*a+0.6*b)
		out[skip+i/per] += artery(c) / float64(per)
	}
	return out
}

func TestFitFindsTheFlowOfALoopOfTanksThatIsSteppedThroughTime(t *testing.T) {
	f := newLoopFitter()
	for _, c := range []struct{ flow, muS float64 }{{40, 8}, {15, 14}, {90, 5}, {30, 20}} {
		p := child()
		p.tubePart, p.bloodML, p.h = 0, math.NaN(), make([]float64, 1000)
		p.h = loopOfTanks(p, c.flow, c.muS)
		r := f.fit(p, structure{})
		if r.withheld != "" || math.Abs(r.flowMLs/c.flow-1) > 0.005 || math.Abs(r.transitS/c.muS-1) > 0.01 || r.residual > 0.002 {
			t.Errorf("flow %.2f (%g), transit %.2f (%g), residual %.4f, %q, %s", r.flowMLs, c.flow, r.transitS, c.muS, r.residual, r.withheld, r.end)
		}
		fitted, first := r.curves(p)
		worst := 0.0
		for i, x := range p.h {
			worst = max(worst, math.Abs(fitted[i]-x)/f.peak)
		}
		if worst > 0.01 {
			t.Errorf("flow %g: the fitted curve is off by %.4f of the peak", c.flow, worst)
		}
		if got, want := area(gridStepS, first), p.volumeML/r.flowMLs; math.Abs(got/want-1) > 0.01 {
			t.Errorf("flow %g: the first pass has the area %g, V/Q is %g", c.flow, got, want)
		}
	}
}

func TestFitGivesNumbersOrNothing(t *testing.T) {
	f := newLoopFitter()
	rapid.Check(t, func(t *rapid.T) {
		p := child()
		number := rapid.OneOf(rapid.Float64(), rapid.Float64Range(-10, 10), rapid.Just(math.NaN()), rapid.Just(math.Inf(1)))
		few := rapid.SliceOfN(number, 0, 40).Draw(t, "shape")
		p.h = make([]float64, rapid.IntRange(0, 600).Draw(t, "samples"))
		for i := range p.h {
			if len(few) > 0 {
				p.h[i] = few[i*len(few)/len(p.h)]
			}
		}
		if rapid.Bool().Draw(t, "odd numbers") {
			p.volumeML, p.durationS, p.loop.FlowMLs = number.Draw(t, "volume"), number.Draw(t, "duration"), number.Draw(t, "loop")
			p.tubePart, p.bloodML, p.startS = number.Draw(t, "part"), number.Draw(t, "blood"), number.Draw(t, "start")
		}
		form := structure{
			LeftToRight: rapid.Bool().Draw(t, "left to right"), RightToLeft: rapid.Bool().Draw(t, "right to left"),
			BroadBody: rapid.Bool().Draw(t, "broad body"), TwoPaths: rapid.Bool().Draw(t, "two paths"),
		}
		r := f.fit(p, form)
		if r.withheld == "" && !(finite(r.flowMLs, r.transitS, r.varianceS2, r.share, r.early, r.lnFlowSD, r.residual) && r.flowMLs > 0 && r.transitS > 0) {
			t.Fatalf("%+v", r)
		}
		fitted, first := r.curves(p)
		if r.withheld == "" && !finite(append(fitted, first...)...) {
			t.Fatal("a curve that is fitted is not finite")
		}
	})
}

func TestFitIsTheSameWithAUsedFitter(t *testing.T) {
	p := child()
	p.h = make([]float64, 1000)
	p.h = loopOfTanks(p, 40, 8)
	form := structure{LeftToRight: true, BroadBody: true, TwoPaths: true}
	fresh := newLoopFitter().fit(p, form)
	f := newLoopFitter()
	q := p
	q.h = loopOfTanks(q, 15, 20)
	f.fit(q, structure{RightToLeft: true})
	if again := f.fit(p, form); again != fresh {
		t.Errorf("%+v, fresh %+v", again, fresh)
	}
}

func TestNoIterationAllocates(t *testing.T) {
	f, at := ready(structure{LeftToRight: true, RightToLeft: true, BroadBody: true, TwoPaths: true})
	n := len(f.rows) + loopExtra
	limits := f.limits
	if all := testing.AllocsPerRun(3, func() { f.solver.Fit(f, n, limits[:], at, loopOptions) }); all != 0 {
		t.Errorf("%v allocations in the iterations of a fit", all)
	}
}

func BenchmarkLoopFit(b *testing.B) {
	p := child()
	p.h = make([]float64, 1000)
	p.h = loopOfTanks(p, 40, 8)
	for name, form := range map[string]structure{"plain": {}, "left to right, broad, two paths": {LeftToRight: true, BroadBody: true, TwoPaths: true}} {
		b.Run(name, func(b *testing.B) {
			f := newLoopFitter()
			for b.Loop() {
				f.fit(p, form)
			}
		})
	}
}

func BenchmarkLoopEvaluation(b *testing.B) {
	f, at := ready(structure{LeftToRight: true, BroadBody: true, TwoPaths: true})
	n := len(f.rows) + loopExtra
	var columns leastsquares.Columns
	for j := range loopParameters {
		columns[j] = make([]float64, n)
	}
	residuals := make([]float64, n)
	b.ReportAllocs()
	for b.Loop() {
		f.Evaluate(&at, residuals, &columns)
	}
}
