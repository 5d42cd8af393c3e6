package dilution

import "math"

// How the arterial curve is read (common practice, no source).
const (
	arrivalHigh  = 0.10  // share of the peak at which the indicator has surely come
	arrivalMore  = 0.30  // share to which it rises from there
	arrivalNoise = 4.0   // and so many times the noise
	peakSpanS    = 0.7   // the peak is that of means over it
	peakReachS   = 120.0 // after the injection, within which the peak is looked for
	quietS       = 1.0   // before the arrival, where the baseline ends
)

// arrival finds peak and arrival on the arterial curve less its baseline: the arrival is
// where the line through 10 and 30 % of the peak, at its first rise, comes from nought.
// All are NaN where nothing rises above the noise.
func arrival(r raster, startS, noise float64) (arrivalS, peakS, peakH float64) {
	nan := math.NaN()
	from, to := r.window(startS, startS+peakReachS)
	if to-from < 5 {
		return nan, nan, nan
	}
	h := smooth(despike(r.H[from:to]), int(math.Round(peakSpanS/gridStepS/2)))
	peak := 0
	for i, v := range h {
		if v > h[peak] {
			peak = i
		}
	}
	peakS, peakH = r.at(from+peak), h[peak]
	if !(peakH > arrivalNoise*noise) || !(peakH > 0) {
		return nan, nan, nan
	}
	low := max(arrivalHigh*peakH, min(arrivalNoise*noise, 0.5*peakH))
	high := low + (arrivalMore-arrivalHigh)*peakH
	i := rises(h[:peak+1], low)
	j := i
	for j < peak && h[j] < high {
		j++
	}
	at := raster{First: r.First + from, H: h}
	first, second := at.crossing(h, i-1, i, low), at.crossing(h, j-1, j, high)
	if second < first {
		second = first
	}
	return max(first-(second-first)*low/(high-low), startS), peakS, peakH
}

// rises gives the first point from which h stays above a value for half a second, or up
// to its end.
func rises(h []float64, value float64) int {
	stay := int(0.5 / gridStepS)
	run := 0
	for i, v := range h {
		if v < value {
			run = 0
			continue
		}
		if run++; run == stay {
			return i - stay + 1
		}
	}
	return len(h) - max(run, 1)
}
