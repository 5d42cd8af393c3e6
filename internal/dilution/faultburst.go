package dilution

import "math"

// bursts names air and noise that come and go.
func (j *judged) bursts(s sensor) {
	scale := s.scale(j)
	if len(s.Rough) == 0 || !(scale > 0) || j.lost(s.name) || j.has("curve-clipped", s.name) {
		return
	}
	limit := burstTimes*s.Usual + burstPart*scale + 2*s.stepInFraction()
	injected := [2]float64{j.p.Injection.FromS - 1, j.p.Injection.FallS + 1.5}
	noisy := make([]bool, len(s.Rough))
	for _, run := range s.runs(burstLeast, func(i int) bool {
		return s.Rough[i] > limit && !(s.name == venousSensor && within(s.timeOf(i), s.timeOf(i+1), injected))
	}) {
		worst := 0.0
		for i := max(run[0]-1, 0); i < min(run[1]+1, len(noisy)); i++ {
			noisy[i] = true
			worst = max(worst, s.Rough[i])
		}
		atS, toS := s.timeOf(run[0]), s.timeOf(run[1])
		tenth := worst * math.Sqrt(min(s.signal.StepS/gridStepS, 1))
		spoils := s.name == arterialSensor && within(atS, toS, j.firstPassS) && tenth > spoilingNoise*scale
		j.add("noise-burst", s.name, atS, worst/scale, limit/scale, spoils)
	}
	j.air(s, scale, noisy, injected)
}

// timeOf gives the time at which a window begins.
func (s sensor) timeOf(window int) float64 {
	return s.signal.StartS + float64(window*s.Per)*s.signal.StepS
}

// air names spikes: samples far from the running median that are too few to be noise.
// Around the injection itself the venous curve has edges of its own.
func (j *judged) air(s sensor, scale float64, noisy []bool, injected [2]float64) {
	middle := despike(s.On.H)
	limit := max(airTimes*s.Usual, airPart*scale)
	found, worst, first, last := 0, 0.0, math.NaN(), math.NaN()
	for i, h := range s.H {
		if math.IsNaN(h) || noisy[min(i/s.Per, len(noisy)-1)] {
			continue
		}
		atS := s.signal.StartS + float64(i)*s.signal.StepS
		if s.name == venousSensor && within(atS, atS, injected) {
			continue
		}
		d := math.Abs(h - middle[s.On.index(atS)])
		if !(d > limit) {
			continue
		}
		if found == 0 {
			first = atS
		}
		found++
		last = atS
		worst = max(worst, d)
	}
	if found >= airSamples {
		spoils := s.name == arterialSensor && within(first, last, j.firstPassS)
		j.add("air-burst", s.name, first, worst/scale, limit/scale, spoils)
	}
}
