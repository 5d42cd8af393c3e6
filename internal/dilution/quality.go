package dilution

import "math"

// quality takes the figures that need no fit; Residual and Disagreement are NaN. What is
// not known is NaN, a signal without any noise has a ratio of 1e6.
func (p prepared) quality(in Input) Quality {
	nan := math.NaN()
	q := Quality{
		SignalToNoise: [3]float64{nan, nan, nan}, DriftPerMin: nan, Residual: nan, Disagreement: nan,
		InjectionS: nan, InjectionUnsteadiness: nan, VolumeSeen: nan, VolumePerKg: in.VolumeML / in.WeightKg,
	}
	if b := p.Arterial.Base; p.Arterial.BaseN > 1 && p.PeakH > 0 {
		for i := range q.SignalToNoise {
			q.SignalToNoise[i] = min(p.PeakH/b.Noise[i+1], 1e6)
		}
		q.DriftPerMin = b.SlopePerS * 60 / p.PeakH
	}
	if p.Injection.Seen {
		q.InjectionS, q.InjectionUnsteadiness = p.Injection.DurationS, p.Injection.Unsteadiness
	}
	return q
}

// disagreement is the largest difference between two flows, as part of their mean; NaN
// where there are no two.
func disagreement(ways []Separation) float64 {
	worst := math.NaN()
	for i, a := range ways {
		for _, b := range ways[:i] {
			if a.Withheld == "" && b.Withheld == "" {
				worst = math.Max(orNought(worst), math.Abs(a.FlowMLs-b.FlowMLs)/((a.FlowMLs+b.FlowMLs)/2))
			}
		}
	}
	return worst
}

// orNought takes nought for what is not known.
func orNought(x float64) float64 {
	if math.IsNaN(x) {
		return 0
	}
	return x
}
