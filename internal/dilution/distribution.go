package dilution

import "math"

// The indicator distribution volume at 60 s, V_ind / H(t60), with t60 one minute after
// the end of the injection plus the transit of the tubes that the indicator takes, and H
// from a straight line over some seconds about it.
//
// What rules its error is the slope of the baseline: it is known from T seconds before
// the arrival and used more than a minute later. For noise of the spectral density S
// (variance of an average times its length, s)
//
//	var H60 = S (1/T + 12 (t60 - Tmid)^2/T^3 + f/M),
//
// M the length of the window about t60, and f from 1 to 4 as t60 lies in its middle or at
// its end. Slow noise has a larger S than first differences or averages over 0.1 s show;
// a drift that bends is seen by no such rule. So S is measured over longer averages,
// before and after, and three checks look for what is not straight: the bend of the
// baseline, the late slope of the curve, and the difference between the two sensors,
// which see the same blood one after the other.

// Limits of the distribution volume (computed on simulated circulations).
const (
	distributionAfterS  = 60.0
	distributionWindowS = 5.0   // on either side of the moment
	distributionLeastS  = 4.0   // of the window
	distributionSD      = 0.015 // of H60, above which it is withheld
	// Averages over 1 s of white noise have a variance near a tenth of that over 0.1 s:
	// slow noise is there where it is larger by so many standard deviations; its averages
	// over much longer times fall so much slower than those over seconds.
	slowTimes, slowLonger = 4.0, 12.0
	bendTimes             = 3.5 // of the standard deviation of the bend
	// A drift that is steeper, as part of the arterial peak per minute, on either sensor, is
	// seldom straight.
	steepPerMin = 0.03
	apartTimes  = 3.0   // of that of the difference of the sensors
	apartShare  = 0.015 // of H60 that tubes may make between them
	// Where the blood has gone round so many times by then, H falls or rises by no more, as
	// part of itself per minute, beyond what noise explains.
	settledTurns         = 2.4
	lateFalls, lateRises = -0.13, 0.04
	// shapeSD stands for the bend of the curve within the window and for the time of it.
	shapeSD     = 0.005
	lateWindowS = 25.0
	coarser     = 9.0 // in density
	// quietShare is the part of the time from injection to arrival that is baseline for sure.
	quietShare = 0.6
)

// late is the curve around a minute after the injection.
type late struct {
	atS, h, slopePerS, windowS float64
	f                          float64 // of the variance
	ok                         bool
}

// distribution computes the indicator distribution volume of a recording that nothing
// spoils.
func (p prepared) distribution(in Input) Estimate {
	if !(in.VolumeML > 0) || !(in.Loop.FlowMLs > 0) {
		return without(InputMissing)
	}
	a, ok := p.leveled()
	if !ok {
		return without(BaselineShort)
	}
	l := around(a.on, p.minuteAfter(in))
	if !l.ok {
		return without(RecordShort)
	}
	if !(l.h > 0) {
		return without(NotComputable)
	}
	factor := a.extrapolated(l.atS) + l.f/l.windowS
	sd := math.Sqrt(a.density * factor)
	switch limit := distributionSD * l.h; {
	case math.Sqrt(a.white*factor) > limit:
		return without(BaselineShort)
	case sd > limit, a.bends(), a.steep(p.PeakH), a.lateOdd(p, l), p.apart(in, a, l):
		return without(SlowNoise)
	}
	relative := math.Hypot(sd/l.h, shapeSD)
	for _, u := range []float64{in.Uncertainty.Volume, in.Uncertainty.Sensor} {
		if u > 0 {
			relative = math.Hypot(relative, u)
		}
	}
	value := in.VolumeML / l.h
	return Estimate{Value: value, SD: relative * value}
}

// without is no estimate.
func without(r Reason) Estimate { return Estimate{Value: math.NaN(), SD: math.NaN(), Withheld: r} }

// minuteAfter gives the moment.
func (p prepared) minuteAfter(in Input) float64 {
	duration := in.DurationS
	if !(duration > 0) {
		duration = p.Injection.DurationS
	}
	l := in.Loop
	return p.StartS + duration + distributionAfterS + (l.PortToSensorML+l.SensorToVeinML+l.ArteryToSensorML)/l.FlowMLs
}

// around fits a straight line to a curve about a moment.
func around(r raster, atS float64) late {
	if len(r.H) == 0 {
		return late{}
	}
	endS := r.at(len(r.H) - 1)
	from, to := r.window(atS-distributionWindowS, min(atS+distributionWindowS, endS))
	fit := straight(r, from, to)
	if !(atS <= endS+0.5) || float64(fit.n)*gridStepS < distributionLeastS {
		return late{}
	}
	away := (atS - fit.middleS) / fit.windowS
	return late{atS: atS, h: fit.level + fit.slopePerS*(atS-fit.middleS), slopePerS: fit.slopePerS, windowS: fit.windowS, f: 1 + 12*away*away, ok: true}
}
