package picture

import (
	"math"
	"math/rand/v2"
)

// demo is an invented injection: gamma-variate curves with what recirculates, noise and
// a baseline that drifts. noise is a part of the peak.
func demo(seconds, noise float64) Picture {
	const step, before = 0.01, 20.0
	random := rand.New(rand.NewPCG(1, 2))
	n := int((seconds + before) / step)
	curve := func(f func(t float64) float64) []float64 {
		v := make([]float64, n)
		for i := range v {
			v[i] = f(float64(i)*step - before)
		}
		return v
	}
	pass := func(t, start, shape, width float64) float64 {
		if t <= start {
			return 0
		}
		x := (t - start) / (shape * width)
		return math.Pow(x, shape) * math.Exp(shape*(1-x))
	}
	drift := func(t float64) float64 { return 0.1 + 0.0005*t }
	first := func(t float64) float64 { return 1.2 * pass(t, 3, 3, 1.3) }
	rest := func(t float64) float64 { return 0.35 * (1 - math.Exp(-math.Max(0, t-9)/6)) }
	arterial := curve(func(t float64) float64 { return drift(t) + first(t) + rest(t) + noise*1.2*random.NormFloat64() })
	venous := curve(func(t float64) float64 {
		return drift(t) + 22*pass(t, 0.5, 2, 0.5) + rest(t) + noise*22*random.NormFloat64()
	})
	return Picture{
		Language: "en", Title: "Indicator-dilution curves, computed by this software",
		Description: "An invented injection for the tests.",
		Head:        []string{"Session demo-2031-0001, 2031-05-04. Tested on simulated circulations only; check against monitor and patient."},
		Blocks: []Block{{
			Title: "Injection 1, 14:24", TimeTitle: "time since the injection was noted, s",
			Panels: []Panel{
				{
					Title: "Arterial sensor", ValueTitle: "indicator in blood, %", Height: 210, Empty: "nothing recorded",
					Curves: []Curve{
						{Role: Recorded, Label: "recorded", StartS: -before, StepS: step, Values: arterial},
						{Role: Baseline, Label: "baseline", StartS: -before, StepS: step, Values: curve(drift)},
						{Role: Model, Label: "closed-loop fit", StartS: -before, StepS: step, Values: curve(func(t float64) float64 { return drift(t) + first(t) + rest(t) })},
						{Role: FirstPass, Label: "its first pass 0.610 L/min", FromS: 0, ToS: 60, StartS: -before, StepS: step, Values: curve(func(t float64) float64 { return drift(t) + first(t) })},
						{Role: SecondFirstPass, Label: "exponential 0.594 L/min", FromS: 8, ToS: 60, StartS: -before, StepS: step, TailS: 11, TailLabel: "tail, extrapolated",
							Values: curve(func(t float64) float64 { return drift(t) + first(8.5)*1.05*math.Exp(-(t-8.5)/3.1) })},
						{Role: ThirdFirstPass, Label: "gamma-variate 0.622 L/min", FromS: 3, ToS: 60, StartS: -before, StepS: step, Values: curve(func(t float64) float64 { return drift(t) + 0.98*first(t+0.1) })},
					},
					Marks: []Mark{{3, "arrival"}, {6.9, "peak"}},
					Spans: []Span{{-18, 0, "baseline window", Baseline}, {8.5, 11, "exponential fitted", SecondFirstPass}, {3, 9.2, "gamma-variate fitted", ThirdFirstPass}},
				},
				{
					Title: "Venous sensor", ValueTitle: "indicator in blood, %", Height: 110, Empty: "nothing recorded",
					Curves: []Curve{{Role: Recorded, Label: "recorded", StartS: -before, StepS: step, Values: venous},
						{Role: Baseline, Label: "baseline", StartS: -before, StepS: step, Values: curve(drift)}},
					Marks: []Mark{{2.1, "indicator enters the vein (mean)"}},
				},
			},
			Notes: []string{"Flow 0.610 L/min (0.560 to 0.660). Mean transit time 6.2 s. Central blood volume 62 mL.", "Quality: signal to noise 96; residual 0.9 % of the peak; separations differ by 4.5 %."},
		}},
		Foot: []string{"Check every value against the monitor and the patient."},
	}
}
