package dilution

import (
	"math"
	"testing"

	"saltmark/internal/circuit"
)

// recorded is a measurement on a circuit, 50 Hz with white noise of 1 % of the peak and a
// drift of 2 % a minute.
func recorded(t *testing.T, c circuit.Circuit, population circuit.Population, seed uint64) (Input, circuit.Truth) {
	t.Helper()
	s := population.Draw(seed)
	s.StepS = 0.02
	run, err := c.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	sensor := circuit.Sensor{WhiteNoise: 0.01, DriftPerMin: 0.02}
	r := circuit.Recorder{RateHz: 50, Arterial: sensor, Venous: sensor}.Record(run, seed)
	curve := func(s circuit.Samples) Curve {
		return Curve{StartS: r.StartS, StepS: r.StepS, Values: s.Values, Unit: s.Unit, Lower: math.NaN(), Upper: math.NaN()}
	}
	return Input{
		Arterial: curve(r.Arterial), Venous: curve(r.Venous), Loop: Loop(s.Loop),
		VolumeML: s.Injection.VolumeML, DurationS: s.Injection.DurationS, WeightKg: s.WeightKg,
		IndicatorSoundMS: math.NaN(), Postductal: s.Postductal,
	}, run.Truth
}

// The bounds are of single recordings, far beyond what the figures of accuracy hold: here
// only a fit that has lost its way fails.
func TestLoopsFindTheFlowOfBothCircuits(t *testing.T) {
	for _, c := range []circuit.Circuit{circuit.Tanks{}, circuit.Parcels{}} {
		for _, shunt := range []circuit.Shunting{circuit.NoShunt, circuit.AtrialLeftToRight, circuit.VentricularLeftToRight, circuit.DuctalLeftToRight} {
			for seed := range uint64(3) {
				in, truth := recorded(t, c, circuit.Population{Shunt: shunt}, 900+seed)
				l := fitLoops(prepare(in), in, nil)
				off, allowed := l.flowMLs()/truth.FlowMLs-1, 0.08
				if shunt != circuit.NoShunt {
					allowed = 0.25
				}
				if !(math.Abs(off) < allowed) {
					t.Errorf("%s, %s, seed %d: flow is off by %.1f %%", c.Name(), shunt, 900+seed, 100*off)
				}
			}
		}
	}
}

func TestFiguresOfLoopsAreAsManyAsSaidAndFinite(t *testing.T) {
	in, _ := recorded(t, circuit.Tanks{}, circuit.Population{}, 7)
	for name, l := range map[string]loops{"a fit": fitLoops(prepare(in), in, nil), "no curve": fitLoops(prepare(Input{}), Input{}, nil)} {
		n := 0
		l.figures(10, 5, func(x float64) {
			n++
			if !finite(x) {
				t.Errorf("%s: figure %d is %g", name, n, x)
			}
		})
		if n != loopFigureCount {
			t.Errorf("%s: %d figures, %d said", name, n, loopFigureCount)
		}
	}
}

// Twice the indicator at the same flow gives twice the curve: physics knows no scale of
// concentration, and neither do the fits.
func TestTwiceTheIndicatorGivesTheSameFlow(t *testing.T) {
	in, _ := recorded(t, circuit.Tanks{}, circuit.Population{Shunt: circuit.NoShunt}, 12)
	p := prepare(in)
	problem, _ := newLoopProblem(p, in)
	f := newLoopFitter()
	once := f.fit(problem, loopForms[shareBroad].structure)
	twice := problem
	twice.volumeML *= 2
	twice.h = append([]float64(nil), problem.h...)
	for i := range twice.h {
		twice.h[i] *= 2
	}
	for i := range twice.noise {
		twice.noise[i] *= 2
	}
	twice.levelSD, twice.slopePerSSD = 2*twice.levelSD, 2*twice.slopePerSSD
	// The curve is doubled as it is; at twice the rate the indicator would also enter a
	// little sooner, hence 3 %.
	if r := f.fit(twice, loopForms[shareBroad].structure); math.Abs(r.flowMLs/once.flowMLs-1) > 0.03 {
		t.Errorf("flow %g, with twice the indicator %g", once.flowMLs, r.flowMLs)
	}
}
