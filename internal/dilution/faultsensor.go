package dilution

import (
	"math"
	"slices"
)

// still names a sensor that has stopped or was unplugged: it stands at one value for
// seconds although it has noise at other times, is silent until the end, or turns to
// noise until the end.
func (j *judged) still(s sensor) {
	t, per := s.texture, float64(s.Per)*s.signal.StepS
	if len(t.Rough) == 0 {
		return
	}
	quiet := 0
	for _, still := range t.Still {
		if still {
			quiet++
		}
	}
	if quiet == len(t.Still) {
		j.add("curve-flat", s.name, math.NaN(), math.NaN(), math.NaN(), true)
		return
	}
	if s.resolved() {
		for _, run := range t.runs(int(math.Ceil(stuckS/per)), func(i int) bool { return t.Still[i] }) {
			j.stuck(s, run)
		}
	}
	j.ended(s)
	j.hum(s)
}

// stuck judges windows (half-open) that stand still. A sensor that is unplugged jumps to
// where it stands; one that has stopped stays where it was. Standing at the very top is
// another fault's, unless it jumped there or stays too long.
func (j *judged) stuck(s sensor, run [2]int) {
	from, to := run[0]*s.Per, run[1]*s.Per
	value := firstOf(s.Values[from:to])
	for from > 0 && (s.Values[from-1] == value || math.IsNaN(s.Values[from-1])) {
		from--
	}
	atS, toS := s.signal.StartS+float64(from)*s.signal.StepS, s.signal.StartS+float64(to)*s.signal.StepS
	jump := away(firstOf(s.H[from:to]), s.H[max(from-5, 0):from])
	rule := "curve-flat"
	if jump > stuckJump*s.Usual {
		rule = "sensor-unplugged"
	}
	i := j.p.Injection
	injected := s.name == venousSensor && !s.leaps(from, to) && s.fallsFrom(to) < pulseCore*i.Height && within(atS, toS, [2]float64{i.FromS - 1, i.ToS + 1})
	if top, _ := s.extreme(j); value == top && (injected && toS-atS < clippedMostS || rule == "curve-flat" && s.limited(value, from, to)) {
		return
	}
	spoils := s.name == arterialSensor && within(atS, toS, j.firstPassS)
	j.add(rule, s.name, atS, math.NaN(), math.NaN(), spoils || math.IsNaN(j.p.ArrivalS))
}

// leaps tells whether a stand (half-open range) is entered and left from one sample to the
// next, which no indicator does at both ends.
func (s sensor) leaps(from, to int) bool {
	to = s.standsUntil(to)
	if from < 5 || to+5 > len(s.H) {
		return false
	}
	limit := stuckJump * s.Usual
	return away(s.H[from], s.H[from-5:from]) > limit && away(s.H[to-1], s.H[to:to+5]) > limit
}

// fallsFrom is by how much the curve leaps at the end of a stand.
func (s sensor) fallsFrom(to int) float64 {
	to = s.standsUntil(to)
	return away(s.H[to-1], s.H[to:min(to+5, len(s.H))])
}

// standsUntil gives the sample before which a stand ends that lasts at least until to.
func (s sensor) standsUntil(to int) int {
	for value := s.Values[to-1]; to < len(s.Values) && (s.Values[to] == value || math.IsNaN(s.Values[to])); {
		to++
	}
	return to
}

// away is how far a value lies outside a few samples that stand before or after it, their
// own range taken as what they may move on.
func away(value float64, beside []float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range beside {
		if !math.IsNaN(v) {
			low, high = min(low, v), max(high, v)
		}
	}
	if low > high {
		return 0
	}
	return max(value-high, low-value, 0) - (high - low)
}

// limited tells whether a value at which a curve stands is a limit: said to be one, or
// touched by noise beside the range (half-open) too, or left without a jump.
func (s sensor) limited(value float64, from, to int) bool {
	to = s.standsUntil(to)
	touched := 0
	second := int(1 / s.signal.StepS)
	for i := max(from-second, 0); i < min(to+second, len(s.Values)); i++ {
		if (i < from || i >= to) && s.Values[i] == value {
			touched++
		}
	}
	left := s.H[to:min(to+5, len(s.H))]
	return value == s.Upper || value == s.Lower || touched >= 2 || len(left) == 5 && away(s.H[to-1], left) < leftJump*s.Usual
}

// scale is the height that things are compared with: the peak of the sensor, or of the
// other one where this has none.
func (s sensor) scale(j *judged) float64 {
	for _, x := range []float64{s.peakH, j.p.PeakH, j.p.Injection.Height} {
		if x > 0 {
			return x
		}
	}
	return 0
}

// ended names a sensor that ends seconds before the recording does.
func (j *judged) ended(s sensor) {
	last := len(s.H) - 1
	for last >= 0 && math.IsNaN(s.H[last]) {
		last--
	}
	endS := s.signal.StartS + float64(last)*s.signal.StepS
	missing := float64(len(s.H)-1-last) * s.signal.StepS
	if last >= 0 && missing >= lostAtEndS {
		j.add("sensor-unplugged", s.name, endS, missing, lostAtEndS, endS < j.firstPassS[1] && s.name == arterialSensor)
	}
}

// hum names a sensor that turns to noise and stays so until the end, or to noise of the
// height of its peak: an open input.
func (j *judged) hum(s sensor) {
	scale := s.scale(j)
	least := int(math.Ceil(lostAtEndS / (float64(s.Per) * s.signal.StepS)))
	for _, run := range s.runs(least, func(i int) bool { return s.Rough[i] > humTimes*s.Quiet+humPart*scale && s.Quiet > 0 }) {
		if away, aside := s.aside(run); run[1] < len(s.Rough) && aside > airAside*away {
			continue // air goes to one side
		}
		if run[1] == len(s.Rough) || median(slices.Clone(s.Rough[run[0]:run[1]])) > humAlways*scale {
			j.add("sensor-unplugged", s.name, s.timeOf(run[0]), math.NaN(), math.NaN(), s.name == arterialSensor)
		}
	}
}

// firstOf gives the first valid value, NaN of none.
func firstOf(h []float64) float64 {
	for _, v := range h {
		if !math.IsNaN(v) {
			return v
		}
	}
	return math.NaN()
}

// meanOf gives the mean of the valid values, NaN of none.
func meanOf(h []float64) float64 {
	sum, n := 0.0, 0
	for _, v := range h {
		if !math.IsNaN(v) {
			sum += v
			n++
		}
	}
	return sum / float64(n)
}

// clipped names a curve that is cut off: samples marked as beyond the sensor's limits or
// standing at them, or several in a row at the very top of a curve that has noise.
func (j *judged) clipped(s sensor) {
	spoils := s.name == arterialSensor
	if marked := s.Below + s.Beyond; marked > 0 {
		j.add("curve-clipped", s.name, math.NaN(), float64(marked)/float64(len(s.Values)), 0, spoils)
		return
	}
	top, at := s.extreme(j)
	if at < 0 {
		return
	}
	tolerance := s.Quantum / 4
	run, longest, where, atTop := 0, 0, at, 0
	for i, v := range s.Values {
		if math.Abs(v-top) <= tolerance {
			atTop++
			if run++; run > longest {
				longest, where = run, i-run+1
			}
			continue
		}
		if !math.IsNaN(v) {
			run = 0
		}
	}
	limit := top == s.Upper || top == s.Lower || math.Abs(top-s.Upper) <= tolerance || math.Abs(top-s.Lower) <= tolerance
	if longest >= topRun && s.resolved() || limit && atTop >= clippedRun {
		atS := s.signal.StartS + float64(where)*s.signal.StepS
		j.add("curve-clipped", s.name, atS, float64(atTop)/float64(len(s.Values)), 0, spoils)
	}
}

// extreme gives the raw value that stands for most indicator, and where.
func (s sensor) extreme(j *judged) (top float64, at int) {
	at = -1
	from, to := samples(s.signal.StartS, s.signal.StepS, len(s.H), j.p.StartS-1, j.p.StartS+afterLeastS)
	for i := from; i < to; i++ {
		if !math.IsNaN(s.H[i]) && (at < 0 || s.H[i] > s.H[at]) {
			top, at = s.Values[i], i
		}
	}
	return top, at
}

// resolved tells whether the noise of the sensor is larger than the step of its values,
// so that equal values in a row are no chance, and is not only the bend of a smooth curve.
// The baseline tells it where little else moves.
func (s sensor) resolved() bool {
	least := 2 * s.stepInFraction()
	if s.peakH > 0 {
		least = max(least, leastNoise*s.peakH)
	}
	before := []float64{}
	for i, r := range s.Rough {
		if s.timeOf(i) >= s.Base.FromS && s.timeOf(i+1) <= s.Base.ToS && r >= 0 {
			before = append(before, r)
		}
	}
	return s.Moving > 0.25 && s.Usual > least || len(before) >= 4 && median(before) > least
}

// stepInFraction is the step of the values as volume fraction.
func (s sensor) stepInFraction() float64 {
	step := max(s.Quantum, s.Step)
	switch s.Unit {
	case Percent:
		return step / perCent
	case SoundSpeed:
		if per := s.perFraction(); per > 0 {
			return step / per
		}
	}
	return step
}

// perFraction is by how many m/s the curve moves for a volume fraction of one, by its own
// two ends.
func (s sensor) perFraction() float64 {
	low, high := -1, -1
	for i, h := range s.H {
		if math.IsNaN(h) {
			continue
		}
		if low < 0 || h < s.H[low] {
			low = i
		}
		if high < 0 || h > s.H[high] {
			high = i
		}
	}
	if low < 0 || s.H[high] == s.H[low] {
		return 0
	}
	return math.Abs((s.Values[high] - s.Values[low]) / (s.H[high] - s.H[low]))
}

// gaps names missing samples between the seconds before the injection and a minute after.
func (j *judged) gaps(s sensor) {
	from, to := samples(s.signal.StartS, s.signal.StepS, len(s.H), j.p.StartS-10, j.p.StartS+afterLeastS)
	for to > from && math.IsNaN(s.H[to-1]) {
		to-- // the end is another fault's
	}
	missing, run, longest, where := 0, 0, 0, from
	for i := from; i < to; i++ {
		if !math.IsNaN(s.H[i]) {
			run = 0
			continue
		}
		missing++
		if run++; run > longest {
			longest, where = run, i-run+1
		}
	}
	longestS := float64(longest) * s.signal.StepS
	atS := s.signal.StartS + float64(where)*s.signal.StepS
	switch {
	case longestS > gapS:
		spoils := s.name == arterialSensor && longestS >= gapSpoilS && within(atS, atS+longestS, j.firstPassS)
		j.add("curve-gap", s.name, atS, longestS, gapS, spoils)
	case float64(missing) > gapPart*float64(to-from):
		j.add("curve-gap", s.name, atS, float64(missing)*s.signal.StepS, gapPart*float64(to-from)*s.signal.StepS, false)
	}
}
