package dilution

import "math"

// noiseOver are the times, s, over which noise is averaged; the first stands for one
// sample. First differences would see only a seventh of slow noise (computed).
var noiseOver = [4]float64{0, 0.1, 1, 3}

// noise measures what is left of a curve, less its baseline, in the window of that
// baseline: the standard deviation of averages over one sample, 0.1, 1 and 3 s. Two
// degrees of freedom went into the line. Where a window holds fewer than four blocks of
// a length, the shorter one is taken down as white noise falls: by the root of the
// length. It is 0 where nothing can be measured.
func noise(startS, stepS float64, h []float64, fromS, toS float64) (sd [4]float64) {
	from, to := samples(startS, stepS, len(h), fromS, toS)
	previous := 1
	for k, overS := range noiseOver {
		per := max(int(math.Round(overS/stepS)), 1)
		var ok bool
		if sd[k], ok = blockSD(h[from:to], per); !ok && k > 0 {
			sd[k] = sd[k-1] * math.Sqrt(float64(previous)/float64(per))
		}
		previous = per
	}
	return sd
}

// blockSD gives the standard deviation of the means of blocks of so many samples. A
// block counts when at least half of it was measured.
func blockSD(h []float64, per int) (sd float64, ok bool) {
	n, mean, squares := 0, 0.0, 0.0
	for i := 0; i+per <= len(h); i += per {
		sum, measured := 0.0, 0
		for _, v := range h[i : i+per] {
			if !math.IsNaN(v) {
				sum += v
				measured++
			}
		}
		if 2*measured < per || measured == 0 {
			continue
		}
		n++
		v := sum / float64(measured)
		d := v - mean
		mean += d / float64(n)
		squares += d * (v - mean)
	}
	if n < 4 {
		return 0, false
	}
	return math.Sqrt(squares / float64(n-2)), true
}
