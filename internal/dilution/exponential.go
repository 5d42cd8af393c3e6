package dilution

import "math"

// The downslope of the first pass as an exponential. From the half of the peak to a
// fifth of it
//
//	ln H(t) = a - k t
//
// by least squares, then improved by two steps on H itself (below); beyond the last of
// these samples the first pass goes on as that line, so recirculation is cut off:
//
//	A = (trapezoids to c) + exp(a - k c)/k,   Q = V_ind/A.
//
// Source: Hamilton WF and others, as in moments.go (from memory); the bounds 50 and 20 %
// are common practice, no source. On simulated circulations it reads low, more so the
// sooner indicator comes back.

// Parts of the peak between which the exponential is laid, and how many samples of the
// grid are averaged when they are looked for.
const (
	slopeUpper, slopeLower = 0.5, 0.2
	// slopeLast is accepted as the lower end where the curve rises again above slopeLower.
	slopeLast    = 0.35
	slopeAverage = 2 // to each side
	slopeSamples = 4 // fewer are no slope
	// slopeStalls is the part that is left after as long as the curve took to rise, above
	// which it does not fall any more: blood that came back holds it up.
	slopeStalls = 0.8
	neverStalls = 1e9
)

// separated is a first pass and how it was separated.
type separated struct {
	moments
	// beyond is how the first pass goes on after the samples that are used as they are.
	beyond tail
	// fromS and toS are the part of the curve that the law was fitted to.
	fromS, toS float64
	// first holds the first pass on the grid of the curve.
	first    []float64
	withheld Reason
}

// notSeparated is the answer where there is no first pass to be seen.
func notSeparated() separated {
	nan := math.NaN()
	return separated{withheld: NotComputable, moments: moments{nan, nan, nan}, fromS: nan, toS: nan}
}

// sound tells whether the moments are those of a curve at all.
func (s separated) sound() bool {
	return s.areaS > 0 && s.varianceS2 > 0 && finite(s.areaS, s.meanS, s.varianceS2)
}

// separation gives it as a part of the result, the flow for an indicator of volumeML.
func (s separated) separation(name string, volumeML float64) Separation {
	return Separation{
		Name: name, FlowMLs: volumeML / s.areaS, AreaS: s.areaS,
		FromS: s.fromS, ToS: s.toS, FirstPass: s.first, Withheld: s.withheld,
	}
}

// exponential separates the first pass by the downslope. Sample i of h, a volume
// fraction less its baseline, is at startS + i stepS; arrivalS is where the indicator
// arrives, and what was before is taken as nought.
func exponential(startS, stepS float64, h []float64, arrivalS float64) separated {
	return exponentialUntil(startS, stepS, h, arrivalS, slopeStalls)
}

// exponentialUntil does so with another part at which a slope stalls. The loops start with
// slopes that never do: what corrects them was tuned with these.
func exponentialUntil(startS, stepS float64, h []float64, arrivalS, stalls float64) separated {
	from := min(max(int(math.Ceil((arrivalS-startS)/stepS)), 0), len(h))
	d, ok := findDownslope(h[from:], slopeAverage, slopeUpper, slopeLower, slopeLast, stalls)
	if !ok || d.to-d.from < slopeSamples {
		return notSeparated()
	}
	d.from, d.to = d.from+from, d.to+from
	beyond, ok := fitDownslope(startS+float64(d.from)*stepS, stepS, h[d.from:d.to])
	if !ok {
		return notSeparated()
	}
	s := separated{beyond: beyond, fromS: startS + float64(d.from)*stepS, toS: beyond.fromS}
	s.moments = momentsWithTail(startS+float64(from)*stepS, stepS, h[from:d.to], beyond)
	if !s.sound() {
		return notSeparated()
	}
	s.first = make([]float64, len(h))
	copy(s.first[from:d.to], h[from:d.to])
	for i := d.to; i < len(h); i++ {
		s.first[i] = beyond.at(startS + float64(i)*stepS)
	}
	return s
}

// downslope is the part of a curve that an exponential is laid through, as indices:
// from is the first sample below the upper part of the peak, to the one after the last.
type downslope struct{ peak, from, to int }

// findDownslope looks for the samples between two parts of the peak. Where the curve rises
// again before it has come down to lower, or more than the part stalls is left after as
// long as it took to rise, its lowest sample until then is the end if that is at most
// last. False where there is no such slope. It looks at means over so many samples to
// each side; h begins at the arrival.
func findDownslope(h []float64, half int, upper, lower, last, stalls float64) (downslope, bool) {
	smooth := smooth(h, half)
	var d downslope
	for i, x := range smooth {
		if x > smooth[d.peak] {
			d.peak = i
		}
	}
	if len(h) == 0 || !(smooth[d.peak] > 0) || !finite(h...) {
		return d, false
	}
	top, rise := smooth[d.peak], max(d.peak, slopeSamples)
	for d.from = d.peak; d.from < len(h) && smooth[d.from] > upper*top; d.from++ {
	}
	if d.from == len(h) {
		return d, false
	}
	d.to = d.from
	for i := d.from; i < len(h); i++ {
		if smooth[i] < smooth[d.to] {
			d.to = i
		}
		if smooth[i] <= lower*top || smooth[i] > smooth[d.to]+0.05*top {
			break
		}
		if i-rise >= d.from && smooth[i] > stalls*smooth[i-rise] {
			d.to = i - rise // what follows is a plateau
			break
		}
	}
	ok := smooth[d.to] <= last*top
	d.to++
	return d, ok
}

// fitDownslope lays exp(a - k t) through heights, first by least squares of their
// logarithms. That weighs a small height, whose logarithm is uncertain, as much as a
// large one; so two Gauss-Newton steps of least squares of the heights themselves follow.
func fitDownslope(startS, stepS float64, heights []float64) (tail, bool) {
	at := func(i int) float64 { return startS + float64(i)*stepS }
	line := leastSquares(len(heights), func(i int) (x, y, weight float64) {
		if heights[i] > 0 {
			return at(i), math.Log(heights[i]), 1
		}
		return 0, 0, 0
	})
	if !(line.slope < 0) || !finite(line.level, line.slope) {
		return tail{}, false
	}
	for range 2 {
		better := leastSquares(len(heights), func(i int) (x, y, weight float64) {
			height := math.Exp(line.at(at(i)))
			return at(i), line.at(at(i)) + heights[i]/height - 1, height * height
		})
		if !(better.slope < 0) || !finite(better.level, better.slope) {
			break
		}
		line = better
	}
	end := at(len(heights) - 1)
	beyond := tail{fromS: end, height: math.Exp(line.at(end)), ratePerS: -line.slope}
	return beyond, finite(beyond.height)
}

// finite tells whether all are numbers.
func finite(all ...float64) bool {
	for _, x := range all {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}
