package circuit

import "math"

// recorded is what a circuit saw while it ran, one entry at each sample from time 0 on.
type recorded struct {
	stepS float64
	// tip is the concentration at the tip of the arterial catheter, sensor that behind
	// the tube that leads from there.
	tip, sensor []float64
	// systemicMLs and pulmonaryMLs are Qs and Qp, the pulse within a beat averaged.
	systemicMLs, pulmonaryMLs []float64
	// transitS is from tip to tip at the resting flow, residual the largest relative
	// error of the mass.
	transitS, residual float64
}

// truth turns what was recorded into what an estimator ought to find.
func (r recorded) truth(s Scenario) Truth {
	passed := firstPass(r.tip)
	t := Truth{
		FlowMLs:        weighted(r.systemicMLs, r.tip[:passed]),
		PulmonaryMLs:   weighted(r.pulmonaryMLs, r.tip[:passed]),
		TransitS:       r.transitS,
		CentralML:      s.FlowMLs * r.transitS,
		DistributionML: r.distribution(s),
		ResidualML:     r.residual,
	}
	if s.rightToLeft() {
		t.TransitS, t.CentralML = math.NaN(), math.NaN()
	}
	return t
}

// rightToLeft tells whether some blood goes past the lungs.
func (s Scenario) rightToLeft() bool {
	return s.Shunts.Atrial.RightToLeft > 0 || s.Shunts.Ventricular.RightToLeft > 0 || s.Shunts.Ductal.RightToLeft > 0
}

// firstPass counts the samples until the curve has fallen to a fifth of its peak. What
// is before the arrival has no weight.
func firstPass(curve []float64) (to int) {
	peak := 0
	for i, c := range curve {
		if c > curve[peak] {
			peak = i
		}
	}
	for to = peak; to < len(curve) && curve[to] > curve[peak]/5; to++ {
	}
	return to
}

// weighted is the mean of x by weight; NaN where nothing arrived.
func weighted(x, weight []float64) float64 {
	sum, all := 0.0, 0.0
	for i, w := range weight {
		sum += x[i] * w
		all += w
	}
	return sum / all
}

// distribution is V_ind / H at 60 s after the injection and the transit of the tubes; 0
// where the record ends before.
func (r recorded) distribution(s Scenario) float64 {
	l := s.Loop
	tubesS := (l.PortToSensorML + l.SensorToVeinML + l.ArteryToSensorML) / l.FlowMLs
	at := (s.Injection.DurationS + 60 + tubesS) / r.stepS
	if at > float64(len(r.sensor)-1) {
		return 0
	}
	h := interpolate(r.sensor, at)
	if h <= 0 {
		return 0
	}
	return s.Injection.VolumeML / h
}

// withBaseline sets the samples of nothing before those from time 0 on.
func withBaseline(s Scenario, after []float64) (startS float64, all []float64) {
	before := int(math.Round(s.BaselineS / s.sampleStepS()))
	return -float64(before) * s.sampleStepS(), append(make([]float64, before, before+len(after)), after...)
}

// samplesAfter is the number of samples from time 0 to the end of the record, both
// ends in it.
func (s Scenario) samplesAfter() int {
	return int(math.Floor(s.AfterS/s.sampleStepS()+1e-9)) + 1
}
