package circuit

import "math"

// Sensor is what becomes of the concentration on its way to a number. The zero value is
// a perfect one. Parts of the peak are parts of the noise-free peak of the arterial
// curve, for both sensors, unless the recorder says otherwise.
type Sensor struct {
	// GainError is the relative error of its calibration.
	GainError float64
	// WhiteNoise and SlowNoise are standard deviations, as part of the peak; the slow one
	// wanders over 1 to 16 s.
	WhiteNoise, SlowNoise float64
	// DriftPerMin is the slope of a straight drift, as part of the peak.
	DriftPerMin float64
	// Bend is a drift that settles: this part of the peak in all, with BendS as its time
	// constant, from the start of the recording on.
	Bend, BendS float64
	// Missing is the part of samples that are lost, in gaps of up to half a second.
	Missing float64
	// ClipAt is the part of its own peak above which it shows no more (0: no limit).
	ClipAt float64
	// Quantum is the step of its numbers in Unit (0: none).
	Quantum float64
	// Unit is "1" (also ""), "%" or "m/s".
	Unit string
	// BloodMS and IndicatorMS are the speeds of sound, for m/s.
	BloodMS, IndicatorMS float64
}

// Recorder is two sensors and one clock.
type Recorder struct {
	Arterial, Venous Sensor
	// RateHz is how many samples a second it keeps (0: 100); JitterS the standard
	// deviation of the moment of a sample, which the recorder takes for even.
	RateHz, JitterS float64
	// NotedLateS is how much later than it began the injection was noted.
	NotedLateS float64
	// OwnPeak takes what is a part of the peak as a part of the peak of each curve.
	OwnPeak bool
}

// Samples is one recording as a sensor gives it, NaN where a sample is lost.
type Samples struct {
	Values  []float64
	Unit    string
	Quantum float64
	// Lower and Upper are the limits of the sensor, NaN where it has none.
	Lower, Upper float64
}

// Recording is what both sensors gave. Sample i is at time StartS + i StepS, where time
// nought is when the injection was noted.
type Recording struct {
	StartS, StepS    float64
	Arterial, Venous Samples
}

// Record gives the recording of a run, the same for the same seed.
func (r Recorder) Record(run Run, seed uint64) Recording {
	rate := r.RateHz
	if rate == 0 {
		rate = 100
	}
	last := run.StartS + float64(len(run.Arterial)-1)*run.StepS
	n := 0
	if len(run.Arterial) > 0 {
		n = int((last-run.StartS)*rate+1e-6) + 1
	}
	d := newDraw(Scenario{Seed: seed}, streamSensor)
	moments := make([]float64, n) // in samples of the run
	for i := range moments {
		t := float64(i) / rate
		if r.JitterS > 0 {
			t += r.JitterS * d.NormFloat64()
		}
		moments[i] = t / run.StepS
	}
	peaks := [2]float64{peakOf(run.Arterial), peakOf(run.Arterial)}
	if r.OwnPeak {
		peaks[1] = peakOf(run.Venous)
	}
	return Recording{
		StartS: run.StartS - r.NotedLateS, StepS: 1 / rate,
		Arterial: r.Arterial.sample(d, run.Arterial, moments, 1/rate, peaks[0]),
		Venous:   r.Venous.sample(d, run.Venous, moments, 1/rate, peaks[1]),
	}
}

// sample takes the curve at the given moments through the sensor.
func (s Sensor) sample(d draw, curve, moments []float64, stepS, peak float64) Samples {
	out := Samples{Unit: s.Unit, Quantum: s.Quantum, Lower: math.NaN(), Upper: math.NaN(), Values: make([]float64, len(moments))}
	if out.Unit == "" {
		out.Unit = "1"
	}
	limit := math.Inf(1)
	if s.ClipAt > 0 {
		limit = s.ClipAt * peakOf(curve) * (1 + s.GainError)
		out.Upper = s.shown(limit)
		if out.Unit == "m/s" { // more indicator is a lower speed
			out.Lower, out.Upper = out.Upper, math.NaN()
		}
	}
	slow := newWander(s.SlowNoise*peak, stepS, d)
	lost := newLosses(s.Missing, stepS)
	for i, at := range moments {
		t := float64(i) * stepS
		h := valueAt(curve, at)*(1+s.GainError) + s.WhiteNoise*peak*d.NormFloat64() + slow.next(d)
		h += peak * s.DriftPerMin * t / 60
		if s.Bend != 0 {
			h += peak * s.Bend * -math.Expm1(-t/s.BendS)
		}
		v := s.shown(min(h, limit))
		if s.Quantum > 0 {
			v = math.Round(v/s.Quantum) * s.Quantum
		}
		if lost.next(d) {
			v = math.NaN()
		}
		out.Values[i] = v
	}
	return out
}

// shown is the number that a volume fraction becomes.
func (s Sensor) shown(h float64) float64 {
	switch s.Unit {
	case "%":
		return 100 * h
	case "m/s":
		return s.BloodMS - h*(s.BloodMS-s.IndicatorMS)
	}
	return h
}

// valueAt reads a curve between its samples on a straight line.
func valueAt(curve []float64, at float64) float64 {
	last := len(curve) - 1
	if at <= 0 {
		return curve[0]
	}
	i := int(at)
	if i >= last {
		return curve[last]
	}
	return curve[i] + (curve[i+1]-curve[i])*(at-float64(i))
}

func peakOf(curve []float64) (peak float64) {
	for _, h := range curve {
		peak = max(peak, h)
	}
	return peak
}

// wander is slow noise: three first-order processes of 1, 4 and 16 s, of equal variance
// and together of the wanted standard deviation.
type wander struct {
	at, keep, kick [3]float64
}

func newWander(sd, stepS float64, d draw) *wander {
	w := &wander{}
	if sd == 0 {
		return w
	}
	for i, correlationS := range [3]float64{1, 4, 16} {
		each := sd / math.Sqrt(3)
		w.keep[i] = math.Exp(-stepS / correlationS)
		w.kick[i] = each * math.Sqrt(1-w.keep[i]*w.keep[i])
		w.at[i] = each * d.NormFloat64()
	}
	return w
}

func (w *wander) next(d draw) (sum float64) {
	for i := range w.at {
		if w.kick[i] > 0 {
			w.at[i] = w.keep[i]*w.at[i] + w.kick[i]*d.NormFloat64()
			sum += w.at[i]
		}
	}
	return sum
}

// losses are samples that never arrive: gaps of 1 sample to half a second.
type losses struct {
	begins  float64 // chance that a gap begins at a sample
	longest int
	left    int
}

func newLosses(part, stepS float64) *losses {
	l := &losses{longest: max(1, int(0.5/stepS))}
	l.begins = part / (float64(l.longest+1) / 2)
	return l
}

func (l *losses) next(d draw) bool {
	if l.left == 0 && l.begins > 0 && d.chance(l.begins) {
		l.left = 1 + d.IntN(l.longest)
	}
	if l.left == 0 {
		return false
	}
	l.left--
	return true
}
