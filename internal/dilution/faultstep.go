package dilution

import (
	"math"
	"slices"
)

// A level that changes at once and stays, and blood that stands in the line: neither is a
// dilution, and a fit takes both for one. They are found on the grid of the arterial curve.

// Limits (common practice, no source; chosen so that simulated records without a fault
// stay quiet).
const (
	stepPart  = 0.05 // of the peak, that a level may leap by
	risePart  = 0.15 // while the curve rises, which may be steep
	stepNoise = 7.0  // and so many times the noise of averages over 0.1 s
	stepBack  = 0.5  // of a leap, the other way within two seconds, is no step
	stepSlope = 6    // points either side tell the slope

	standsS     = 5.0   // blood may stand so long, s, or for the time of the rise
	standsLevel = 0.15  // of the peak at least, to be told from an even distribution
	standsPart  = 0.01  // of the peak, and
	standsNoise = 4.0   // times the noise of averages over 1 s, is no movement
	standsFall  = 0.012 // of the peak, that the curve fell by just before, in a sixth of its rise, and
	standsSure  = 5.0   // times the noise of averages over 0.1 s
	standsQuiet = 1.5   // times the noise, and
	standsWaver = 0.003 // of the peak, is all that blood that stands wavers by: breathing moves blood
	standsBend  = 0.2   // of that fall at most follows in the same time again
)

// arterialShape gives the arterial sensor where the shape of its curve can be judged.
func (j *judged) arterialShape() (sensor, bool) {
	s := sensor{arterialSensor, j.in.Arterial, j.p.Arterial, j.a, j.p.PeakH}
	told := j.disturbed(s.name) || j.has("baseline-missing", s.name) || j.has("noise-burst", s.name) || j.has("curve-gap", s.name) || j.has("air-burst", s.name)
	return s, !told && j.p.PeakH > 0
}

// steps names the largest leap of the level of the arterial curve.
func (j *judged) steps() {
	s, ok := j.arterialShape()
	if !ok {
		return
	}
	from, to := s.On.window(max(s.Base.FromS, j.p.StartS-reachS), j.p.StartS+afterLeastS)
	h := s.On.H[from:to]
	leaps := make([]float64, len(h))
	rising := [2]float64{j.p.ArrivalS - 1, j.p.PeakS + 1}
	worst := 0
	for i := stepSlope; i+stepSlope < len(h); i++ {
		leaps[i] = leapAt(h, i)
		if within(s.On.at(from+i), s.On.at(from+i), rising) && math.Abs(leaps[i]) < risePart*s.peakH {
			continue
		}
		if math.Abs(leaps[i]) > math.Abs(leaps[worst]) {
			worst = i
		}
	}
	leap, limit := math.Abs(leaps[worst]), stepPart*s.peakH+stepNoise*s.white()+2*s.stepInFraction()
	if len(h) == 0 || !(leap > limit) {
		return
	}
	near := int(2 / gridStepS)
	for _, other := range leaps[max(worst-near, 0):min(worst+near+1, len(h))] {
		if other*leaps[worst] < 0 && math.Abs(other) > stepBack*leap {
			return
		}
	}
	j.add("curve-step", s.name, s.On.at(from+worst), leap/s.peakH, limit/s.peakH, true)
}

// white is the white noise of averages over 0.1 s, by the samples' own, which no leap
// moves.
func (s sensor) white() float64 { return s.Usual * math.Sqrt(min(s.signal.StepS/gridStepS, 1)) }

// scatterAbout is the root mean square of how far values are from a level.
func scatterAbout(h []float64, level float64) float64 {
	sum := 0.0
	for _, v := range h {
		sum += (v - level) * (v - level)
	}
	return math.Sqrt(sum / float64(len(h)))
}

// leapAt is by how much a curve changes, from the means of three points before to those
// behind, beyond what its slopes on both sides would make it change.
func leapAt(h []float64, i int) float64 {
	before, behind := h[i-stepSlope:i], h[i+1:i+1+stepSlope]
	slope := func(x []float64) float64 {
		return (x[stepSlope-1] + x[stepSlope-2] - x[0] - x[1]) / (2 * (stepSlope - 2))
	}
	a, b := 4*slope(before), 4*slope(behind)
	change := meanOf(behind[:3]) - meanOf(before[stepSlope-3:])
	return max(change-max(a, b), 0) + min(change-min(a, b), 0)
}

// stands names an arterial curve that falls, stops at once, and stays where it is: the
// blood in the line does not move. A dilution bends slowly, by its own time of rise.
func (j *judged) stands() {
	s, ok := j.arterialShape()
	if !ok || math.IsNaN(j.p.ArrivalS) {
		return
	}
	rise := j.p.PeakS - j.p.ArrivalS
	long, bendS := max(standsS, rise), min(max(rise/6, 0.5), 1.5)
	still, bend := standsPart*s.peakH+standsNoise*s.Base.Noise[2], int(bendS/gridStepS)
	least := standsFall*s.peakH + standsSure*s.white() + standsNoise*s.Base.Noise[2] + 2*s.stepInFraction()
	from, to := s.On.window(j.p.PeakS, j.p.StartS+peakReachS)
	for i := from + bend; i+max(bend, 10) < to; i++ {
		fell, falls := -straight(s.On, i-bend, i+1).slopePerS*bendS, -straight(s.On, i, i+bend+1).slopePerS*bendS
		bridged := slices.Contains(s.On.Used[i-bend:i+bend+1], false) // a straight line bends too
		if bridged || fell < least || falls > standsBend*fell {
			continue
		}
		level := meanOf(s.On.H[i : i+10])
		if level < standsLevel*s.peakH {
			return
		}
		until := i
		for until+10 <= to && math.Abs(meanOf(s.On.H[until:until+10])-level) <= still {
			until += 10
		}
		quiet := standsQuiet*(s.white()+s.Base.Noise[2]) + standsWaver*s.peakH + s.stepInFraction()
		if stood := float64(until-i) * gridStepS; stood >= long && scatterAbout(s.On.H[i:until], level) < quiet {
			j.add("blood-stands", s.name, s.On.at(i), stood, long, true)
			return
		}
	}
}
