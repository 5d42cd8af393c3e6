package dilution

import "math"

// signal is the curve of one sensor as volume fraction less its baseline.
type signal struct {
	// Sample i of H is at StartS + i StepS; NaN where nothing was measured.
	StartS, StepS float64
	H             []float64
	// On has the same on the grid.
	On   raster
	Base Baseline
	// BaseN counts the samples of the baseline.
	BaseN int
}

// prepared is a recording that is ready to be fitted and judged. Times count from the
// noted injection, which may be off by seconds: Injection has when it really was.
type prepared struct {
	Arterial, Venous signal
	Injection        pulse
	// Other is what would be the injection if the arterial curve were the venous one.
	Other pulse
	// Upturned is what would be the injection if the venous curve were turned over.
	Upturned pulse
	// ArrivalS, PeakS and PeakH are of the arterial curve; NaN where nothing arrived.
	ArrivalS, PeakS, PeakH float64
	// StartS is when the injection began at the port, nought (as noted) where it was not
	// seen.
	StartS float64
}

// baselineS is the longest baseline that is used: the last so many seconds.
const baselineS = 90.0

// prepare makes signals of the recordings. It works on anything: a curve that cannot be
// read is empty.
func prepare(in Input) prepared {
	var p prepared
	p.Arterial, p.Venous = convert(in.Arterial, in.IndicatorSoundMS), convert(in.Venous, in.IndicatorSoundMS)
	p.Arterial.On, p.Venous.On = cut(p.Arterial.On, p.Venous.On)
	p.Injection = findPulse(p.Venous.On, in.Loop, in.VolumeML)
	p.Upturned = findPulse(p.Venous.On.turned(), in.Loop, in.VolumeML)
	p.Other = findPulse(p.Arterial.On, in.Loop, in.VolumeML)
	venousTo := 0.0
	if p.Injection.Seen {
		p.StartS = p.Injection.StartS
		venousTo = p.Injection.FromS - 2*gridStepS
	}
	p.Venous.level(in.Venous.Unit, venousTo)
	p.Arterial.level(in.Arterial.Unit, p.StartS)
	p.ArrivalS, p.PeakS, p.PeakH = arrival(p.Arterial.On, p.StartS, peakNoise(p.Arterial.Base))
	if to := p.ArrivalS - quietS; to > p.StartS {
		p.Arterial.level(in.Arterial.Unit, to)
		p.ArrivalS, p.PeakS, p.PeakH = arrival(p.Arterial.On, p.StartS, peakNoise(p.Arterial.Base))
	}
	if b := p.Arterial.Base; !p.Injection.Seen && len(p.Venous.H) > 0 {
		// Alone, the arterial curve must tell more.
		if strayed := slopeSD(b) * (p.PeakS - (b.FromS+b.ToS)/2); !(p.PeakH > 2*arrivalNoise*peakNoise(b)+arrivalNoise*strayed) {
			p.ArrivalS, p.PeakS, p.PeakH = math.NaN(), math.NaN(), math.NaN()
		}
	}
	return p
}

// convert reads a curve as volume fraction.
func convert(c Curve, indicatorSoundMS float64) signal {
	s := signal{StartS: c.StartS, StepS: c.StepS}
	if len(c.Values) < 2 || !(c.StepS > 1e-6 && c.StepS <= coarsest) || math.IsNaN(c.StartS) || math.IsInf(c.StartS, 0) {
		return s
	}
	h, ok := fractions(c, indicatorSoundMS)
	if !ok {
		return s
	}
	s.H, s.On = h, lay(c.StartS, c.StepS, h)
	return s
}

// level takes off the baseline that ends at a time. It may be called again.
func (s *signal) level(unit string, toS float64) {
	if len(s.H) == 0 {
		return
	}
	fromS := max(s.StartS, toS-baselineS)
	more, n := line(s.StartS, s.StepS, s.H, fromS, toS)
	if n == 0 {
		return
	}
	more.subtract(s.StartS, s.StepS, s.H)
	scale := 1.0
	if unit == SoundSpeed && math.Abs(more.Level) < 0.5 {
		scale = 1 - more.Level
		rescale(s.H, more.Level)
	}
	s.Base = Baseline{FromS: fromS, ToS: toS, Level: (s.Base.Level + more.Level) / scale, SlopePerS: (s.Base.SlopePerS + more.SlopePerS) / scale}
	s.Base.Noise = noise(s.StartS, s.StepS, s.H, fromS, toS)
	s.BaseN = n
	for i := range s.On.H {
		s.On.H[i] = (s.On.H[i] - more.at(s.On.at(i))) / scale
	}
}

// peakNoise is the noise of the averages that the peak is of, from that over 1 s.
func peakNoise(b Baseline) float64 { return b.Noise[2] / math.Sqrt(peakSpanS) }

// finite tells whether every figure is a number.
func (p pulse) finite() bool {
	sum := p.FromS + p.ToS + p.Height + p.StartS + p.DurationS + p.VolumeML + p.LeftML + p.Unsteadiness
	return !math.IsNaN(sum) && !math.IsInf(sum, 0)
}
