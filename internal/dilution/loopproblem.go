package dilution

import "math"

// newLoopProblem takes from a recording what the closed loop is fitted to, and how the
// tubes were found. Time counts from the true start of the injection.
func newLoopProblem(p prepared, in Input) (loopProblem, tubes) {
	on := p.Arterial.On
	durationS := in.DurationS
	if p.Injection.Seen && p.Injection.DurationS > 0 {
		durationS = p.Injection.DurationS
	}
	if !(durationS > 0) {
		durationS = usualDurationS
	}
	found := findTubes(on, p.Venous.On, p.StartS, durationS, in.Loop)
	base := p.Arterial.Base
	lengthS := max(base.ToS-base.FromS, 1)
	// A straight line through a window of a length T: level at its middle has the
	// variance of the mean, slope 12/T^2 times it, and the level is taken to its end.
	meanSD := base.Noise[2] / math.Sqrt(lengthS)
	slopeSD := meanSD * math.Sqrt(12) / lengthS
	return loopProblem{
		startS: on.at(0) - p.StartS, h: on.H, used: on.Used,
		noise: base.Noise, levelSD: math.Hypot(meanSD, slopeSD*lengthS/2), slopePerSSD: slopeSD,
		loop: in.Loop, volumeML: in.VolumeML, durationS: durationS,
		tubePart: found.part, bloodML: math.NaN(), // no value hangs on the weight
	}, found
}

// usualDurationS of an injection by hand, where neither the sheet nor the venous curve
// tells it (common practice, no source).
const usualDurationS = 3
