package dilution

import "math"

// perCent is how many per cent make the whole.
const perCent = 100

// fractions gives the curve as volume fraction, not yet less its baseline, and whether
// its unit allows that. Saline and blood mix linearly in the speed of sound,
//
//	H = (c_blood - c)/(c_blood - c_indicator),
//
// with c_blood the median of what was recorded before time nought. That the speed
// drifts is the business of the baseline: see rescale.
func fractions(c Curve, indicatorSoundMS float64) (h []float64, ok bool) {
	gain, offset := 1.0, 0.0
	switch c.Unit {
	case Fraction:
	case Percent:
		gain = 1.0 / perCent
	case SoundSpeed:
		blood := medianBefore(c, 0)
		gain = 1 / (indicatorSoundMS - blood)
		offset = -blood * gain
		if math.IsNaN(offset) || math.IsInf(gain, 0) {
			return nil, false
		}
	default:
		return nil, false
	}
	h = make([]float64, len(c.Values))
	for i, v := range c.Values {
		if math.IsInf(v, 0) {
			v = math.NaN()
		}
		h[i] = v*gain + offset
	}
	return h, true
}

// rescale corrects a curve in m/s, already less its baseline, for the speed in blood
// that the baseline found: level is the fraction by which it differs from the median.
func rescale(h []float64, level float64) {
	for i := range h {
		h[i] /= 1 - level
	}
}

// medianBefore gives the median of the valid values before a time, and of all where
// there are fewer than ten; NaN where nothing is valid.
func medianBefore(c Curve, atS float64) float64 {
	n := len(c.Values)
	if before := (atS - c.StartS) / c.StepS; before < float64(n) {
		n = max(int(before), 0)
	}
	valid := validOf(c.Values[:n])
	if len(valid) < 10 {
		valid = validOf(c.Values)
	}
	return median(valid)
}

// validOf copies the finite values, at most some thousand of them, evenly taken.
func validOf(values []float64) []float64 {
	const enough = 2000
	step := max(len(values)/enough, 1)
	valid := make([]float64, 0, len(values)/step+1)
	for i := 0; i < len(values); i += step {
		if v := values[i]; !math.IsNaN(v) && !math.IsInf(v, 0) {
			valid = append(valid, v)
		}
	}
	return valid
}
