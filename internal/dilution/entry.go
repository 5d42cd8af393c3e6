package dilution

import "math"

// How the indicator enters the vein. With
//
//	V    volume of the tube from the port to the tip of the venous catheter, mL
//	Q1   flow of the loop, mL/s
//	Qi   rate of the injection, V_ind/t_inj, mL/s
//	q1   flow behind the port while injecting, Q1 + Qi
//	h    volume fraction of indicator behind the port while injecting, Qi/q1
//
// the indicator passes the tip, from the start of the injection on, at
//
//	Qi    from V/q1 to t_inj, and
//	h Q1  from t_inj to t_inj + V/Q1        when q1 t_inj > V
//	h Q1  from t_inj + (V - q1 t_inj)/Q1
//	      to t_inj + V/Q1                   when not
//
// since what is still in the tube when the injection ends moves on at the flow of the
// loop alone. The integral is V_ind. Mixing along the tube is not in it. (Conservation
// of volume; derived here, no source.) A tube whose layers move at different speeds is as
// many tubes beside each other, of its volume times the transit of the layer.
// At the sensor, where two tubes meet, all layers mix.

// entry is the rate at which indicator passes a place, of unit area, as steps.
type entry struct {
	steps []entryStep
}

// entryStep is a share of all indicator that passes at a steady rate.
type entryStep struct{ fromS, toS, share float64 }

// enters gives the entry behind a tube of volumeML for an injection at a steady rate.
// Nothing enters (no step) unless all but the volume of the tube are above nought.
func enters(loopMLs, tubeML, indicatorML, durationS float64) entry {
	if !(loopMLs > 0 && indicatorML > 0 && durationS > 0 && tubeML >= 0) || math.IsInf(loopMLs+tubeML+indicatorML+durationS, 0) {
		return entry{}
	}
	injecting := loopMLs + indicatorML/durationS
	last := durationS + tubeML/loopMLs
	if injecting*durationS <= tubeML {
		return entry{[]entryStep{{durationS + (tubeML-injecting*durationS)/loopMLs, last, 1}}}
	}
	first := tubeML / injecting
	share := (durationS - first) / durationS
	steps := []entryStep{{first, durationS, share}}
	if tubeML > 0 {
		steps = append(steps, entryStep{durationS, last, 1 - share})
	}
	return entry{steps}
}

// entersMixed is enters behind two tubes, each a parabola in part (see kernel.go).
func entersMixed(loopMLs, firstML, secondML, part, indicatorML, durationS float64) entry {
	tubeML := firstML + secondML
	if !(tubeML > 0) {
		return enters(loopMLs, tubeML, indicatorML, durationS)
	}
	var layers [fewLayers * fewLayers]tubeLayer
	twoTubes(&layers, part, firstML/tubeML)
	mixed := entry{make([]entryStep, 0, 2*len(layers))}
	for _, layer := range layers {
		for _, step := range enters(loopMLs, tubeML*layer.transit, indicatorML, durationS).steps {
			step.share *= layer.share
			mixed.steps = append(mixed.steps, step)
		}
	}
	return mixed
}

// mean is the mean time of entry, s; NaN where nothing enters.
func (e entry) mean() float64 {
	area, first := 0.0, 0.0
	for _, p := range e.steps {
		area += p.share
		first += p.share * (p.fromS + p.toS) / 2
	}
	return first / area
}

// variance of the time of entry, s2; NaN where nothing enters.
func (e entry) variance() float64 {
	mean := e.mean()
	area, second := 0.0, 0.0
	for _, p := range e.steps {
		length, off := p.toS-p.fromS, (p.fromS+p.toS)/2-mean
		area += p.share
		second += p.share * (length*length/12 + off*off)
	}
	return second / area
}

// transform adds the Laplace transform at the places of an evenly spaced line. That of a
// step from a to b of unit area is (exp(-s a) - exp(-s b))/(s (b - a)).
func (e entry) transform(out, line []complex128) {
	for _, step := range e.steps {
		addStep(out, line, step)
	}
	for k, s := range line {
		out[k] *= over1(s)
	}
}
