package dilution

import "math"

// leveled is a curve on the grid less a baseline that is surely one, with what its noise
// does over long times.
type leveled struct {
	on raster
	// fromS and toS are the baseline, and slopePerS what it had.
	fromS, toS, slopePerS float64
	// white and density are the spectral density of the noise, s: by averages over 0.1 s, and
	// with what is slow.
	white, density float64
}

// leveled takes the baseline of the arterial curve only until well before the arrival: its
// foot would tilt it.
func (p prepared) leveled() (leveled, bool) {
	s := p.Arterial
	to := min(s.Base.ToS, p.StartS+quietShare*(p.ArrivalS-p.StartS))
	if math.IsNaN(to) {
		return leveled{}, false
	}
	a, ok := level(s, to)
	if ok {
		a.density = a.slow(s.Base, p.PeakS+20)
	}
	return a, ok
}

// level takes what is left of a baseline until a time off the curve.
func level(s signal, toS float64) (leveled, bool) {
	rest, n := line(s.StartS, s.StepS, s.H, s.Base.FromS, toS)
	if n < 2 || !(toS-s.Base.FromS > baselineLeastS) {
		return leveled{}, false
	}
	a := leveled{fromS: s.Base.FromS, toS: toS, slopePerS: s.Base.SlopePerS + rest.SlopePerS}
	a.on = raster{First: s.On.First, Used: s.On.Used, H: make([]float64, len(s.On.H))}
	for i, h := range s.On.H {
		a.on.H[i] = h - rest.at(s.On.at(i))
	}
	a.white = s.Base.Noise[1] * s.Base.Noise[1] * noiseOver[1]
	a.density = a.slow(s.Base, math.NaN())
	return a, true
}

// extrapolated is the variance of the baseline at a time, by the density of its noise.
func (a leveled) extrapolated(atS float64) float64 {
	long, lever := a.toS-a.fromS, atS-(a.fromS+a.toS)/2
	return 1/long + 12*lever*lever/(long*long*long)
}

// slow gives the density of the noise with what is slow in it: averages over 1 s in the
// baseline, and in the minute from a time on where that is larger.
func (a leveled) slow(b Baseline, sinceS float64) float64 {
	blocks := max(math.Floor(b.ToS-b.FromS), 1)
	second := b.Noise[2] * b.Noise[2] * noiseOver[2]
	if after, n := secondsAfter(a.on, sinceS); n > 2 && after > second {
		second = (second*blocks + after*n) / (blocks + n)
		blocks += n
	}
	if second > a.white*(1+slowTimes*math.Sqrt(2/max(blocks-2, 1))) {
		return a.white + slowLonger*(second-a.white)
	}
	return a.white
}

// secondsAfter measures the variance of averages over 1 s in the minute from a time on, by
// their second differences: a curve that bends little leaves none.
func secondsAfter(r raster, sinceS float64) (variance, n float64) {
	from, to := r.window(sinceS, sinceS+60)
	per := int(math.Round(1 / gridStepS))
	var means []float64
	for i := from; i+per <= to; i += per {
		means = append(means, meanOf(r.H[i:i+per]))
	}
	for i := 2; i < len(means); i++ {
		d := means[i] - 2*means[i-1] + means[i-2]
		variance += d * d / 6
		n++
	}
	return variance / n, n / 2
}
