package dilution

import (
	"math"
	"slices"
)

// What comes and goes: air and noise. Both make a curve rougher than it is elsewhere.
// Noise swings to both sides of what the curve does around it; air, which scatters sound
// and light, goes to one side, and further than any part of the peak. Air that is gone
// within a few samples is a number of spikes. (Common practice, no source; tried on
// simulated recordings.)

// bursts names air and noise that come and go.
func (j *judged) bursts(s sensor) {
	if len(s.Rough) == 0 || j.lost(s.name) {
		return
	}
	rough, scale := j.roughWindows(s)
	if !(scale > 0) {
		return
	}
	limit := s.burstLimit(scale)
	air, few := burst{}, [][2]int{}
	for _, run := range s.runs(1, func(i int) bool { return rough[i] }) {
		atS, toS := s.timeOf(run[0]), s.timeOf(run[1])
		if away, yes := s.airy(run, scale); yes {
			air.add(atS, toS, away, away*(toS-atS))
			continue
		}
		if run[1]-run[0] < burstLeast {
			few = append(few, run)
			continue
		}
		worst := 0.0
		for i := run[0]; i < run[1]; i++ {
			worst = max(worst, s.Rough[i])
		}
		tenth := worst * math.Sqrt(min(s.signal.StepS/gridStepS, 1))
		spoils := s.name == arterialSensor && within(atS, toS, j.firstPassS) && tenth > spoilingNoise*scale
		j.add("noise-burst", s.name, atS, worst/scale, limit/scale, spoils)
	}
	for _, run := range few {
		clear(rough[run[0]:run[1]])
	}
	j.spikes(s, scale, rough, &air)
	if air.n > 0 {
		spoils := s.name == arterialSensor &&
			(within(air.fromS, air.toS, [2]float64{j.p.StartS, j.firstPassS[1]}) || air.area > airArea*scale && air.toS > s.Base.FromS && air.fromS < j.p.StartS+afterLeastS)
		j.add("air-burst", s.name, air.fromS, air.worst/scale, max(airTimes*s.Usual/scale, airPart), spoils)
	}
}

// burst gathers what looks like air.
type burst struct {
	n                       int
	fromS, toS, worst, area float64
}

func (b *burst) add(fromS, toS, away, area float64) {
	if b.n == 0 {
		b.fromS, b.toS = fromS, toS
	}
	b.n++
	b.fromS, b.toS, b.worst, b.area = min(b.fromS, fromS), max(b.toS, toS), max(b.worst, away), b.area+area
}

func (s sensor) burstLimit(scale float64) float64 {
	return burstTimes*s.Usual + burstPart*scale + 2*s.stepInFraction()
}

// roughWindows gives the windows that are rougher than the others, and the height that
// things are compared with: the peak, less what stands in these windows.
func (j *judged) roughWindows(s sensor) (rough []bool, scale float64) {
	rough, scale = make([]bool, len(s.Rough)), s.scale(j)
	for range 2 { // a burst may be the peak at first
		limit := s.burstLimit(scale)
		any := false
		for i := range rough {
			rough[i] = s.Rough[i] > limit && !(s.name == venousSensor && within(s.timeOf(i), s.timeOf(i+1), j.injectedS()))
			any = any || rough[i]
		}
		if !any {
			return rough, scale
		}
		scale = min(scale, s.peakWithout(rough, j.p.StartS))
	}
	return rough, scale
}

// peakWithout is the highest mean over half a second since a time, outside of windows.
func (s sensor) peakWithout(rough []bool, sinceS float64) (peak float64) {
	h := smooth(despike(s.On.H), 2)
	for i, v := range h {
		atS := s.On.at(i)
		window := int((atS - s.signal.StartS) / (float64(s.Per) * s.signal.StepS))
		near := false
		for k := max(window-1, 0); k <= min(window+1, len(rough)-1); k++ {
			near = near || rough[k]
		}
		if atS > sinceS && !near {
			peak = max(peak, v)
		}
	}
	return peak
}

// injectedS is when the injection goes by the venous sensor, whose edges are no noise; a
// curve that is upside down has them too.
func (j *judged) injectedS() [2]float64 {
	i := j.p.Injection
	if j.upturned() {
		i = j.p.Upturned
	}
	return [2]float64{i.FromS - 1, i.FallS + 1.5}
}

// upturned tells whether the injection is rather seen on the venous curve turned over, and
// no air is there.
func (j *judged) upturned() bool {
	up := j.p.Upturned
	if !up.Seen || j.p.Injection.VolumeML > j.in.VolumeML/pulseOff {
		return false
	}
	v := sensor{signal: j.p.Venous, texture: j.v}
	return !slices.ContainsFunc(v.runs(1, func(i int) bool { return v.Rough[i] > airPart*up.Height }), func(run [2]int) bool {
		return within(v.timeOf(run[0]), v.timeOf(run[1]), [2]float64{up.RiseS, up.FallS})
	})
}

// airy gives how far windows (half-open) are from the curve around them, and whether that
// is to one side and far enough for air. Over more than a second and a half the curve
// itself may be away from a line.
func (s sensor) airy(run [2]int, scale float64) (away float64, yes bool) {
	away, aside := s.aside(run)
	bulge := 0.0
	if s.timeOf(run[1])-s.timeOf(run[0]) > airShortS {
		bulge = airBulge * scale
	}
	return away, aside-bulge > airAside*(away-bulge) && away-bulge > airPart*scale
}

// aside gives how far the samples of windows (half-open) and one either side are, as a
// mean, from the line between what is before and behind, and how far to one side.
func (s sensor) aside(run [2]int) (away, aside float64) {
	from, to := max((run[0]-1)*s.Per, 0), min((run[1]+1)*s.Per, len(s.H))
	before, behind := middleOf(s.H[max(from-s.Per, 0):from]), middleOf(s.H[to:min(to+s.Per, len(s.H))])
	switch {
	case math.IsNaN(before):
		before = behind
	case math.IsNaN(behind):
		behind = before
	}
	n, sum, all := 0.0, 0.0, 0.0
	for i := run[0] * s.Per; i < min(run[1]*s.Per, len(s.H)); i++ {
		d := s.H[i] - before - (behind-before)*float64(i-from)/float64(to-from)
		if !math.IsNaN(d) {
			n, sum, all = n+1, sum+d, all+math.Abs(d)
		}
	}
	return all / n, math.Abs(sum) / n
}

// middleOf is the median of the valid values, NaN of none.
func middleOf(h []float64) float64 {
	valid := make([]float64, 0, len(h))
	for _, v := range h {
		if !math.IsNaN(v) {
			valid = append(valid, v)
		}
	}
	return median(valid)
}

// timeOf gives the time at which a window begins.
func (s sensor) timeOf(window int) float64 {
	return s.signal.StartS + float64(window*s.Per)*s.signal.StepS
}

// spikeReach is how many points of the grid either side a spike stands above or below.
const spikeReach = 3

// spikes adds samples that are far outside of the running median around them, where they
// are too few to be noise. Around the injection itself the venous curve has edges of its own: there only
// what is less than no indicator counts.
func (j *judged) spikes(s sensor, scale float64, rough []bool, air *burst) {
	middle := despike(s.On.H)
	limit := max(airTimes*s.Usual, airPart*scale)
	found := burst{}
	for i, h := range s.H {
		window := min(i/s.Per, len(rough)-1)
		if math.IsNaN(h) || slices.Contains(rough[max(window-1, 0):min(window+2, len(rough))], true) {
			continue
		}
		atS := s.signal.StartS + float64(i)*s.signal.StepS
		near := middle[max(s.On.index(atS)-spikeReach, 0):min(s.On.index(atS)+spikeReach+1, len(middle))]
		d := max(h-slices.Max(near), slices.Min(near)-h, 0)
		if s.name == venousSensor && within(atS, atS, j.injectedS()) {
			if j.upturned() {
				continue
			}
			d = max(-h, 0)
		}
		if d > limit {
			found.add(atS, atS, d, d*s.signal.StepS)
		}
	}
	if found.n >= airSamples {
		air.add(found.fromS, found.toS, found.worst, found.area)
	}
}
