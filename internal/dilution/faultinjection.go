package dilution

import (
	"math"
	"slices"
)

// unseen names sensors that do not see the indicator.
func (j *judged) unseen() {
	seenA, seenV := !math.IsNaN(j.p.ArrivalS), j.p.Injection.Seen
	begins := math.Inf(1)
	if len(j.p.Venous.H) > 0 {
		begins = j.p.Venous.StartS
	}
	switch {
	case seenA && (seenV || begins > 0):
	case seenA:
		if !j.disturbed(venousSensor) {
			j.add("curve-flat", venousSensor, math.NaN(), math.NaN(), math.NaN(), false)
		}
	case seenV && len(j.p.Arterial.H) > 0:
		if !j.disturbed(arterialSensor) {
			j.add("curve-flat", arterialSensor, math.NaN(), math.NaN(), math.NaN(), true)
		}
	case !j.disturbed(arterialSensor):
		j.add("no-indicator", "", math.NaN(), math.NaN(), math.NaN(), true)
	}
}

// nothing names a recording in which neither curve goes far from its baseline, up or
// down: what is left are noise, and a drift that a short baseline did not show. A curve
// of a wrong unit is small too, but clear.
func (j *judged) nothing() bool {
	if j.lost(arterialSensor) || j.has("baseline-missing", "") {
		return false
	}
	for _, s := range j.sensors() {
		from, to := s.On.window(j.p.StartS-10, j.p.StartS+afterLeastS)
		for _, v := range smooth(despike(s.On.H[from:to]), 2) {
			if math.Abs(v) > clearTimes*s.Base.Noise[1] {
				return false
			}
		}
	}
	j.add("no-indicator", "", math.NaN(), math.NaN(), math.NaN(), true)
	return true
}

// lengths names records that begin too late or end too early.
func (j *judged) lengths() {
	for _, s := range j.sensors() {
		before := j.p.StartS - s.signal.StartS
		if j.beginsLate(s) {
			before = 0
		}
		switch {
		case before < baselineLeastS:
			j.add("baseline-missing", s.name, s.signal.StartS, max(before, 0), baselineLeastS, s.name == arterialSensor)
		case before < baselineEnoughS:
			j.add("baseline-short", s.name, s.signal.StartS, before, baselineEnoughS, false)
		}
		endS := s.signal.StartS + float64(len(s.H)-1)*s.signal.StepS
		if after := endS - j.p.StartS; after < afterLeastS {
			j.add("record-short", s.name, endS, max(after, 0), afterLeastS, s.name == arterialSensor && j.endsHigh(endS))
		}
	}
}

// beginsLate tells whether a record begins at the noted injection or later and shows no
// pulse, after its beginning, that no blood could have brought.
func (j *judged) beginsLate(s sensor) bool {
	i := j.p.Injection
	clear := i.Seen && i.VolumeML > j.in.VolumeML/3 && i.FromS > s.signal.StartS+baselineLeastS && (i.Height > 2*j.p.PeakH || math.IsNaN(j.p.PeakH) && i.Height > smallestPulse*10)
	return s.signal.StartS > -baselineLeastS && !clear
}

// endsHigh tells whether the arterial record ends before the downslope is far down.
func (j *judged) endsHigh(endS float64) bool {
	r := j.p.Arterial.On
	if math.IsNaN(j.p.PeakS) || len(r.H) == 0 {
		return true
	}
	from, to := r.window(endS-1, endS)
	return endS < j.p.PeakS+1 || meanOf(r.H[from:to]) > afterShare*j.p.PeakH
}

// level names a baseline that runs away, and noise that hides the curve.
func (j *judged) level() {
	p := j.p
	if math.IsNaN(p.PeakH) || p.Arterial.BaseN == 0 {
		return
	}
	if part := p.Arterial.Base.Noise[1] / p.PeakH; part > noisyPart {
		j.add("curve-noisy", arterialSensor, math.NaN(), part, noisyPart, part > noisySpoil)
	}
	b := p.Arterial.Base
	perMin := math.Abs(b.SlopePerS) * 60 / p.PeakH
	if allowed := driftPerMin + driftByNoise*60*slopeSD(b)/p.PeakH; perMin > allowed {
		j.add("drift-strong", arterialSensor, math.NaN(), perMin, allowed, false)
	}
}

// slopeSD is the standard deviation of the slope of a baseline by the noise of averages
// over 3 s, taken as independent: sd root(12 x 3 s / T^3).
func slopeSD(b Baseline) float64 {
	long := b.ToS - b.FromS
	return b.Noise[3] * math.Sqrt(12*noiseOver[3]/(long*long*long))
}

// injection names what the venous curve tells of the injection.
func (j *judged) injection() {
	i := j.p.Injection
	if !i.Seen || j.lost(venousSensor) {
		return
	}
	blood := 0.0
	if j.p.PeakH > 0 {
		blood = secondAboveBlood * j.p.PeakH
	}
	for _, atS := range secondPulses(j.p.Venous.On, i, blood) {
		if atS > i.StartS-afterLeastS && atS < i.StartS+afterLeastS+10 {
			j.add("two-injections", venousSensor, atS, math.Abs(atS-i.StartS), math.NaN(), true)
			return
		}
	}
	if i.Unsteadiness > unsteadyShare {
		j.add("injection-unsteady", venousSensor, i.StartS, i.Unsteadiness, unsteadyShare, false)
	}
	j.volume(i)
	if off := math.Abs(i.StartS); off > timeOffS {
		// Nobody knows whether what is so far off is this injection.
		j.add("injection-time-off", venousSensor, i.StartS, off, timeOffS, off > timeWrongS)
	}
}

// volume names an injection whose size on the venous curve is not the stated one. An
// error of the sensor counts 1/(1 - H) times, so that a pulse of nearly pure indicator
// tells little.
func (j *judged) volume(i pulse) {
	ratio, slack := j.p.volumeSeen(j.in, j.all), 1+sensorOff/(1-i.Height)
	low, high := (areaLow-leftUnknown*min(i.LeftML/j.in.VolumeML, 1))/slack, areaHigh*slack
	switch {
	case ratio < low:
		j.add("venous-area-mismatch", venousSensor, i.StartS, ratio, low, false)
	case ratio > high:
		j.add("venous-area-mismatch", venousSensor, i.StartS, ratio, high, false)
	}
}

// unseeing are the faults of the venous sensor with which its pulse has no size.
var unseeing = []string{"baseline-missing", "curve-clipped", "curve-gap", "curve-flat", "sensor-unplugged"}

// volumeSeen is what went by the venous sensor as part of the stated volume; NaN where
// that is not known.
func (p prepared) volumeSeen(in Input, faults []Fault) float64 {
	blind := slices.ContainsFunc(faults, func(f Fault) bool { return f.Sensor == venousSensor && slices.Contains(unseeing, f.Rule) })
	if !p.Injection.Seen || blind || !(in.VolumeML > 0) {
		return math.NaN()
	}
	return p.Injection.VolumeML / in.VolumeML
}

// secondPulses gives the times at which other pulses than the injection begin: above a
// part of its height, and above what blood can bring back.
func secondPulses(r raster, first pulse, blood float64) (times []float64) {
	h := smooth(despike(r.H), 1)
	height := max(secondPart*first.Height, blood)
	for _, s := range cores(h, height/pulseCore) {
		if (r.at(s[1]) < first.RiseS || r.at(s[0]) > first.FallS) && longest(h[s[0]:s[1]], height) >= int(secondLeastS/gridStepS) {
			times = append(times, r.at(s[0]))
		}
	}
	return times
}

// longest counts the longest run of values above a limit.
func longest(h []float64, limit float64) (most int) {
	run := 0
	for _, v := range h {
		if run++; v < limit {
			run = 0
		}
		most = max(most, run)
	}
	return most
}
