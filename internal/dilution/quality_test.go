package dilution

import (
	"math"
	"testing"
)

func TestQualityHasTheFiguresOfARecording(t *testing.T) {
	c := infant()
	c.baselineS = 60
	in := c.input(0.01, 1)
	clean, _ := infant().run()
	peak := peakOf(clean)
	for i := range in.Arterial.Values {
		in.Arterial.Values[i] += 0.1 * peak / 60 * float64(i) * 0.01
	}
	q := prepare(in).quality(in)
	for i, want := range [3]float64{100 * math.Sqrt(10), 1000, 1000 * math.Sqrt(3)} {
		near(t, "signal to noise", q.SignalToNoise[i], want, 0.4*want)
	}
	near(t, "drift", q.DriftPerMin, 0.1, 0.005)
	near(t, "duration", q.InjectionS, 3, 0.25)
	near(t, "unsteadiness", q.InjectionUnsteadiness, 0, 0.1)
	near(t, "volume per kg", q.VolumePerKg, 3/3.5, 1e-12)
}

func TestGradesFollowTheirLimits(t *testing.T) {
	for _, row := range []struct {
		q    Quality
		name string
		want Grade
	}{
		{Quality{SignalToNoise: [3]float64{150, 0, 0}}, "signal-to-noise-0.1-s", Good},
		{Quality{SignalToNoise: [3]float64{50, 0, 0}}, "signal-to-noise-0.1-s", Fair},
		{Quality{SignalToNoise: [3]float64{10, 0, 0}}, "signal-to-noise-0.1-s", Poor},
		{Quality{SignalToNoise: [3]float64{math.NaN(), 0, 0}}, "signal-to-noise-0.1-s", NotGraded},
		{Quality{DriftPerMin: -0.02}, "drift-per-minute", Good},
		{Quality{DriftPerMin: -0.5}, "drift-per-minute", Poor},
		{Quality{Disagreement: 0.2}, "disagreement-of-separations", Fair},
		{Quality{InjectionUnsteadiness: 0.6}, "injection-unsteadiness", Poor},
	} {
		found := false
		for _, f := range row.q.Figures() {
			if f.Name == row.name {
				found = true
				if f.Grade != row.want {
					t.Errorf("%s of %g is %q, %q is wanted", f.Name, f.Value, f.Grade, row.want)
				}
			}
		}
		if !found {
			t.Errorf("there is no %s", row.name)
		}
	}
}

func TestQualityOfNothingIsNotGraded(t *testing.T) {
	for _, f := range prepare(Input{VolumeML: math.NaN(), WeightKg: math.NaN()}).quality(Input{}).Figures() {
		if f.Grade != NotGraded {
			t.Errorf("%+v", f)
		}
	}
}

func TestDisagreementIsTheLargestDifferenceOfTwoFlows(t *testing.T) {
	near(t, "of three", disagreement([]Separation{{FlowMLs: 10}, {FlowMLs: 12}, {FlowMLs: 99, Withheld: NotComputable}, {FlowMLs: 11}}), 2.0/11, 1e-12)
	if one := disagreement([]Separation{{FlowMLs: 10}}); !math.IsNaN(one) {
		t.Errorf("of one: %g", one)
	}
}
