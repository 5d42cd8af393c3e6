package dilution

import (
	"math"
	"math/cmplx"
	"testing"

	"gonum.org/v1/gonum/integrate"
	"pgregory.net/rapid"
)

// steppedEntry is a second reading of the rule: the tube is filled and emptied in small
// steps of time, first in, first out.
func steppedEntry(loop, tube, indicator, duration float64) (area, mean, variance float64) {
	const dt = 1e-4
	rate := indicator / duration
	fraction := rate / (loop + rate)
	var passed, first, second float64 // volume that left the tip since the start
	for t := dt / 2; t < duration+tube/loop+1; t += dt {
		q := loop
		if t < duration {
			q += rate
		}
		// Leaves now what entered when passed was smaller by the volume of the tube.
		if entered := passed - tube; entered > 0 && entered < (loop+rate)*duration {
			flux := q * fraction * dt / indicator
			area, first, second = area+flux, first+flux*t, second+flux*t*t
		}
		passed += q * dt
	}
	mean = first / area
	return area, mean, second/area - mean*mean
}

func TestEntryIsWhatAFilledTubeLetsOut(t *testing.T) {
	for _, c := range []struct {
		name                            string
		loop, tube, indicator, duration float64
	}{
		{"infant, short tube", 0.3, 0.4, 3, 3},
		{"infant, long tube that holds the whole injection", 0.3, 8, 3, 3},
		{"child", 1.5, 4, 10, 5},
		{"adult", 5, 6, 30, 6},
		{"no tube", 5, 0, 30, 6},
		{"the tube just holds it", 1, 6, 4, 2},
	} {
		e := enters(c.loop, c.tube, c.indicator, c.duration)
		area, mean, variance := steppedEntry(c.loop, c.tube, c.indicator, c.duration)
		if math.Abs(area-1) > 1e-3 {
			t.Fatalf("%s: the stepped tube lets out %g of the indicator", c.name, area)
		}
		if math.Abs(e.mean()-mean) > 2e-3 || math.Abs(e.variance()-variance) > 2e-3 {
			t.Errorf("%s: mean %.4f s, variance %.4f s2; stepped %.4f s, %.4f s2", c.name, e.mean(), e.variance(), mean, variance)
		}
	}
}

func TestTransformOfEntryIsThatOfItsSteps(t *testing.T) {
	line := newInverse(64, 0.5).line
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.Float64Range(0.05, 10)
		e := entersMixed(number.Draw(t, "loop"), number.Draw(t, "tube"), number.Draw(t, "second tube"),
			rapid.Float64Range(0, 1).Draw(t, "part"), number.Draw(t, "indicator"), number.Draw(t, "duration"))
		got := make([]complex128, len(line))
		e.transform(got, line)
		for _, k := range []int{0, 1, 7, len(line) - 1} {
			var want complex128
			for _, step := range e.steps {
				// A step is symmetric about its middle: exp(-s m) sinh(s h)/(s h).
				middle, half := (step.fromS+step.toS)/2, (step.toS-step.fromS)/2
				want += complex(step.share, 0) * cmplx.Exp(-line[k]*complex(middle, 0)) * sinhOver(line[k]*complex(half, 0))
			}
			if cmplx.Abs(got[k]-want) > 1e-10 {
				t.Fatalf("at %v: %v, by another form %v", line[k], got[k], want)
			}
		}
	})
}

func TestMixingInTubesKeepsTheMeanOfEntryAndWidensIt(t *testing.T) {
	// A long tube: with a short one the layers do not fill alike, and the mean moves.
	plug, mixed := entersMixed(1, 3, 2, 0, 1, 0.01), entersMixed(1, 3, 2, 0.7, 1, 0.01)
	if math.Abs(plug.mean()-mixed.mean()) > 0.02 || mixed.variance() < plug.variance()+2 {
		t.Errorf("plug %g s, %g s2; mixed %g s, %g s2", plug.mean(), plug.variance(), mixed.mean(), mixed.variance())
	}
	if direct := enters(1, 5, 1, 0.01); math.Abs(direct.mean()-plug.mean()) > 1e-3 {
		t.Errorf("two plugs: %g s, one: %g s", plug.mean(), direct.mean())
	}
}

func TestNothingEntersWhereNothingCan(t *testing.T) {
	for _, c := range [][4]float64{{0, 1, 1, 1}, {1, -1, 1, 1}, {1, 1, 0, 1}, {1, 1, 1, 0}, {math.NaN(), 1, 1, 1}, {1, math.NaN(), 1, 1}, {1, 1, math.Inf(1), 1}} {
		e := enters(c[0], c[1], c[2], c[3])
		if len(e.steps) != 0 || !math.IsNaN(e.mean()) {
			t.Errorf("loop %g, tube %g, indicator %g, duration %g: entry %v", c[0], c[1], c[2], c[3], e)
		}
	}
}

// area is that of samples by a rule that is not ours.
func area(step float64, h []float64) float64 {
	x := make([]float64, len(h))
	for i := range x {
		x[i] = float64(i) * step
	}
	return integrate.Simpsons(x, h)
}
