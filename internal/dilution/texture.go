package dilution

import (
	"math"
	"slices"
)

// texture is what the samples of a sensor look like, seen through short windows.
type texture struct {
	// Per is how many samples a window has. Window i begins with sample i Per.
	Per int
	// Rough is the standard deviation of white noise in each window, as volume fraction,
	// by the median of second differences: no slope and no few spikes move it. It is NaN
	// where the window has too few samples.
	Rough []float64
	// Still tells which windows have one value only.
	Still []bool
	// Usual is the usual one of Rough where samples move, Quiet what the quietest of
	// these windows have. Moving is their part of all.
	Usual, Quiet, Moving float64
	// Step is the smallest difference of two samples in a row, in the unit of the values:
	// the quantum where it is not stated.
	Step float64
}

// rough is the median of the absolute second differences of white noise of standard
// deviation 1: 0.6745 times the root of 6.
const rough = 0.6745 * 2.449489742783178

// quartile is by how much the third quartile of Rough lies above its middle where noise
// stays what it is: windows have some 50 samples.
const quartile = 1.08

// textureOf looks at a curve. In the first sample of a window the stillness of the
// raw values counts, so that no conversion makes equal what was not.
func textureOf(c Curve, s signal) texture {
	if len(s.H) == 0 {
		return texture{}
	}
	per := max(int(math.Round(burstWindowS/s.StepS)), burstSamples)
	t := texture{Per: per, Step: stepOf(c.Values)}
	d := make([]float64, 0, per)
	for i := 0; i+per <= len(s.H); i += per {
		d = d[:0]
		still := true
		first := math.NaN()
		for k := i; k < i+per; k++ {
			if v := c.Values[k]; !math.IsNaN(v) {
				if math.IsNaN(first) {
					first = v
				}
				still = still && v == first
			}
			if k >= i+2 {
				if x := math.Abs(s.H[k] - 2*s.H[k-1] + s.H[k-2]); !math.IsNaN(x) {
					d = append(d, x)
				}
			}
		}
		r := math.NaN()
		if len(d) >= 3 {
			r = median(d) / rough
		}
		t.Rough = append(t.Rough, r)
		t.Still = append(t.Still, still && !math.IsNaN(first))
	}
	var moving []float64
	for i, r := range t.Rough {
		if !t.Still[i] && r > 0 {
			moving = append(moving, r)
		}
	}
	if len(moving) > 0 {
		slices.Sort(moving)
		t.Usual = moving[len(moving)*3/4] / quartile
		t.Moving = float64(len(moving)) / float64(len(t.Rough))
		t.Quiet = moving[min(max(2, len(moving)/20), len(moving)-1)]
	}
	return t
}

// runs gives the ranges (half-open) of windows for which a test holds, at least so many
// in a row.
func (t texture) runs(least int, holds func(i int) bool) (runs [][2]int) {
	begun := -1
	for i := range len(t.Rough) + 1 {
		if i < len(t.Rough) && holds(i) {
			if begun < 0 {
				begun = i
			}
			continue
		}
		if begun >= 0 && i-begun >= least {
			runs = append(runs, [2]int{begun, i})
		}
		begun = -1
	}
	return runs
}

// stepOf gives the smallest difference that is not nought between neighbours, 0 where
// nothing differs. Differences below a part in 10^12 are of binary fractions.
func stepOf(values []float64) (step float64) {
	for i := 1; i < len(values); i++ {
		d := math.Abs(values[i] - values[i-1])
		if d > 1e-12*math.Abs(values[i]) && (step == 0 || d < step) {
			step = d
		}
	}
	return step
}
