package dilution

import "math"

// levels looks for curves whose level cannot be in the stated unit. It tells whether it
// found some.
func (j *judged) levels() (wrong bool) {
	p := j.p
	for _, s := range j.sensors() {
		if j.has("sensor-unplugged", s.name) {
			continue
		}
		level := medianBefore(s.Curve, p.StartS)
		switch {
		case s.Unit == SoundSpeed && !(level >= soundLowest && level <= soundFaster),
			s.Unit == Fraction && math.Abs(level) > levelMost,
			s.Unit == Percent && math.Abs(level) > perCent*levelMost:
			j.add("curve-unit-wrong", s.name, math.NaN(), level, math.NaN(), true)
			wrong = true
		}
	}
	return wrong
}

// sizes looks whether what went by each sensor is of the size of the injection.
func (j *judged) sizes() (wrong bool) {
	p, in := j.p, j.in
	if j.has("baseline-missing", "") {
		return false
	}
	if i := p.Injection; !j.disturbed(venousSensor) && i.Seen {
		from, to := p.Venous.On.window(i.RiseS, i.FallS)
		top := meanOf(p.Venous.On.H[from:to])
		if top > fractionMost || top < smallestPulse && i.VolumeML < in.VolumeML/unitFactor {
			j.add("curve-unit-wrong", venousSensor, i.StartS, top, fractionMost, true)
			wrong = true
		}
	}
	if math.IsNaN(p.ArrivalS) || j.disturbed(arterialSensor) {
		return wrong
	}
	if p.PeakH > arterialMost {
		j.add("curve-unit-wrong", arterialSensor, p.PeakS, p.PeakH, arterialMost, true)
		return true
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
