package dilution

import "math/bits"

// curves gives the fitted curve of a result on the samples of its problem, and the first
// pass alone: what the sensor would see if nothing came back from the body. Before the
// injection both are nought; behind the last minutes that a transform of reasonable size
// holds they stay where they are.
func (r *loopResult) curves(p loopProblem) (fitted, first []float64) {
	fitted, first = make([]float64, len(p.h)), make([]float64, len(p.h))
	skip := skipped(p.startS, len(p.h))
	wanted := len(p.h) - skip
	if r.withheld != "" || wanted == 0 {
		return fitted, first
	}
	points := min(max(1<<bits.Len(uint(wanted*5/4)), loopGrid), 8*loopGrid)
	v := newInverse(points, gridStepS)
	f := loopFitter{
		inverse: v, problem: p, form: r.form, start: r.start,
		drive: make([]complex128, len(v.line)), around: make([]complex128, len(v.line)), section: make([]complex128, len(v.line)),
		curve: make([]float64, points),
	}
	f.transform[atFlow] = make([]complex128, len(v.line))
	enters, arteryS := p.enters(), p.arteryS()
	f.setDrive(enters, arteryS)
	h := newHeartAndLungs(&r.parameters, r.start.transitS, r.form)
	b := newBody(&r.parameters, r.start.bodyS, r.form)
	f.transforms(&h, &b, r.flowMLs, nil)
	f.put(fitted[skip:])
	var t passage
	for k, s := range v.line {
		h.at(s, false, &t)
		f.transform[atFlow][k] = times(1/r.flowMLs, f.drive[k]) * t.value
	}
	f.put(first[skip:])
	return fitted, first
}

// put inverts the transform and writes it; what is beyond four fifths of the period is
// not to be trusted.
func (f *loopFitter) put(out []float64) {
	f.inverse.invert(f.curve, f.transform[atFlow])
	last := len(f.curve) * 4 / 5
	n := copy(out, f.curve[:last])
	for i := n; i < len(out); i++ {
		out[i] = f.curve[last-1]
	}
}
