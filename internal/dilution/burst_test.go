package dilution

import (
	"math"
	"slices"
	"testing"

	"saltmark/internal/circuit"
)

// disturbedInput is the recording of an invented infant, in parts of one at 50 Hz, that a
// change was made to: of the samples from one time to another, in peaks of the arterial
// curve.
func disturbedInput(t *testing.T, seed uint64, venous bool, fromS, toS float64, by func(i int) float64) Input {
	t.Helper()
	s := circuit.Population{Class: circuit.To5kg, Shunt: circuit.NoShunt}.Draw(seed)
	s.BaselineS, s.AfterS = 30, 90
	run, err := circuit.Tanks{}.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	sensor := circuit.Sensor{WhiteNoise: 0.008}
	in := inputOf(s, circuit.Recorder{Arterial: sensor, Venous: sensor, RateHz: 50}.Record(run, seed))
	curve, peak := &in.Arterial, slices.Max(run.Arterial)
	if venous {
		curve = &in.Venous
	}
	for i := range curve.Values {
		if at := curve.StartS + float64(i)*curve.StepS; at > fromS && at < toS {
			curve.Values[i] += by(i) * peak
		}
	}
	return in
}

// crowd is a crowd of bubbles: uneven, to one side.
func crowd(depth float64) func(i int) float64 {
	return func(i int) float64 { _, part := math.Modf(float64(i) * math.Phi); return depth * part }
}

func TestAirIsCalledAirWhereverItGoesBy(t *testing.T) {
	for _, c := range []struct {
		what       string
		venous     bool
		from, to   float64
		depth      float64
		spoilsFlow bool
	}{
		{"a second of it on the upslope, downwards", false, 6, 7, -8, true},
		{"a second of it on the upslope, upwards", false, 6, 7, 8, true},
		{"a second of it on the downslope", false, 17, 18, -8, true},
		{"three seconds of it", false, 9, 12, -8, true},
		{"a third of a second of it", false, 9, 9.3, -8, true},
		{"a second of it in the baseline", false, -10, -9, -8, true},
		{"a second of it late", false, 50, 51, -8, true},
		{"in the line to the vein", true, 30, 30.5, -20, false},
		{"in the line to the vein, while injecting", true, 1, 1.5, -200, false},
	} {
		in := disturbedInput(t, 41, c.venous, c.from, c.to, crowd(c.depth))
		r := Analyse(in)
		i := slices.IndexFunc(r.Faults, func(f Fault) bool { return f.Rule == "air-burst" })
		if i < 0 {
			t.Errorf("%s: told are %+v", c.what, r.Faults)
			continue
		}
		if f := r.Faults[i]; math.Abs(f.AtS-c.from) > 1.1 || f.Spoils != c.spoilsFlow || c.spoilsFlow && r.Flow.Withheld == "" {
			t.Errorf("%s: %+v, flow %+v", c.what, f, r.Flow)
		}
		for _, wrong := range []string{"curve-reversed", "curve-flat", "curve-unit-wrong"} {
			if r.has(wrong) {
				t.Errorf("%s: it is called %s too", c.what, wrong)
			}
		}
	}
	if !ruleOf("air-burst").Warns {
		t.Error("air may be no more than an information")
	}
}

// A clock may be off by more than the minute that is looked at first: the injection is
// found, and nothing is computed of what may be another one.
func TestAClockThatIsMinutesOffIsToldAndIsNoAir(t *testing.T) {
	for off, spoils := range map[float64]bool{-300: true, -100: true, -60: false, 20: false, 60: false, 100: true, 600: true} {
		in := disturbedInput(t, 41, false, 0, 0, nil)
		in.Arterial.StartS += off
		in.Venous.StartS += off
		r := Analyse(in)
		if len(r.Faults) != 1 || r.Faults[0].Rule != "injection-time-off" || r.Faults[0].Spoils != spoils || (r.Flow.Withheld == InputMissing) != spoils {
			t.Errorf("%v s off: %+v, flow %+v", off, r.Faults, r.Flow)
		}
	}
}

func TestALevelThatLeapsIsToldAndMakesNoSign(t *testing.T) {
	for _, c := range []struct {
		at, by float64
	}{{18, 0.3}, {20, 0.1}, {20, -0.2}, {-8, 0.2}, {45, 0.15}} {
		r := Analyse(disturbedInput(t, 41, false, c.at, math.Inf(1), func(int) float64 { return c.by }))
		if !r.has("curve-step") || !r.Spoiled() || r.LeftToRight.Withheld == "" {
			t.Errorf("%v of the peak at %v s: %+v", c.by, c.at, r.Faults)
		}
	}
}

func TestBloodThatStandsIsTold(t *testing.T) {
	s := circuit.Population{Class: circuit.To5kg, Shunt: circuit.NoShunt}.Draw(41)
	run, err := circuit.Tanks{}.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	spoiling, _ := circuit.SpoilingOf("blood-stands")
	for seed := range uint64(6) {
		r := Analyse(inputOf(s, spoiling.Record(run, recorder(seed), seed)))
		if !r.has("blood-stands") || !r.Spoiled() {
			t.Errorf("seed %d: %+v", seed, r.Faults)
		}
	}
}

// A sign of a recording with a fault that can make it is there to be told, and counts for
// nothing.
func TestASignOfABadRecordingDoesNotCount(t *testing.T) {
	for _, c := range []struct {
		what string
		r    Result
		want Reason
	}{
		{"a good recording", Result{Flow: Estimate{Value: 10, SD: 0.9}}, ""},
		{"a short baseline", Result{Flow: Estimate{Value: 10, SD: 0.9}, Faults: []Fault{{Rule: "baseline-short"}}}, ""},
		{"noise", Result{Flow: Estimate{Value: 10, SD: 0.9}, Faults: []Fault{{Rule: "curve-noisy"}}}, SensorFault},
		{"a wrong volume", Result{Flow: Estimate{Value: 10, SD: 0.3}, Faults: []Fault{{Rule: "venous-area-mismatch"}}}, SensorFault},
		{"a flow that is hardly known", Result{Flow: Estimate{Value: 10, SD: 1.1}}, NotComputable},
	} {
		c.r.LeftToRight.Present = true
		c.r.discountSigns()
		if !c.r.LeftToRight.Present || c.r.LeftToRight.Withheld != c.want || c.r.Early.Withheld != c.want {
			t.Errorf("%s: %+v", c.what, c.r.LeftToRight)
		}
	}
}
