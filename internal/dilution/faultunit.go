package dilution

import "math"

// units looks for numbers that cannot be what their unit says. It tells whether it found
// some.
func (j *judged) units() (wrong bool) {
	p := j.p
	for _, s := range []struct {
		name string
		c    Curve
		most float64 // of the volume fraction
	}{{arterialSensor, j.in.Arterial, arterialMost}, {venousSensor, j.in.Venous, fractionMost}} {
		if s.c.Empty() {
			continue
		}
		level := medianBefore(s.c, p.StartS)
		switch {
		case s.c.Unit == SoundSpeed && !math.IsNaN(level) && !(level >= soundLowest && level <= soundFaster):
			j.add("curve-unit-wrong", s.name, math.NaN(), level, math.NaN(), true)
			wrong = true
		case s.c.Unit == Fraction && math.Abs(level) > levelMost, s.c.Unit == Percent && math.Abs(level) > perCent*levelMost:
			j.add("curve-unit-wrong", s.name, math.NaN(), level, math.NaN(), true)
			wrong = true
		}
	}
	if wrong {
		return true
	}
	a, v := topOf(p.Arterial, p.StartS), topOf(p.Venous, p.StartS)
	if v > fractionMost {
		j.add("curve-unit-wrong", venousSensor, math.NaN(), v, fractionMost, true)
		wrong = true
	}
	if a > fractionMost {
		j.add("curve-unit-wrong", arterialSensor, math.NaN(), a, arterialMost, true)
		wrong = true
	}
	if wrong {
		return true
	}
	return j.sizes()
}

// topOf is the highest mean over half a second in the minute after the injection, NaN
// where nothing is there.
func topOf(s signal, startS float64) float64 {
	from, to := s.On.window(startS-2, startS+afterLeastS)
	top := math.NaN()
	for _, v := range smooth(despike(s.On.H[from:to]), 2) {
		if !(v <= top) {
			top = v
		}
	}
	return top
}

// sizes looks whether what went by each sensor is of the size of the injection.
func (j *judged) sizes() (wrong bool) {
	p, in := j.p, j.in
	if i := p.Injection; i.Seen && i.VolumeML < in.VolumeML/unitFactor && !j.looksSwapped() {
		j.add("curve-unit-wrong", venousSensor, i.StartS, i.VolumeML/in.VolumeML, math.NaN(), true)
		wrong = true
	}
	if math.IsNaN(p.ArrivalS) || j.looksSwapped() {
		return wrong
	}
	area := 0.0
	span := j.firstPassS
	from, to := p.Arterial.On.window(span[0], span[1])
	for _, h := range p.Arterial.On.H[from:to] {
		area += h * gridStepS
	}
	flow := in.VolumeML / area
	switch {
	case !(area > 0):
	case flow < in.Loop.FlowMLs/2:
		j.add("curve-unit-wrong", arterialSensor, p.PeakS, flow/in.Loop.FlowMLs, 1, true)
		wrong = true
	case flow > in.WeightKg*flowPerKgMost:
		j.add("curve-unit-wrong", arterialSensor, p.PeakS, flow/in.WeightKg, flowPerKgMost, true)
		wrong = true
	case math.IsNaN(in.WeightKg) && flow > 500*in.Loop.FlowMLs:
		j.add("curve-unit-wrong", arterialSensor, p.PeakS, flow/in.Loop.FlowMLs, 500, true)
		wrong = true
	}
	return wrong
}
