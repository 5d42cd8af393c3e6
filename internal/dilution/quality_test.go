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

func TestDisagreementIsTheLargestDifferenceOfTwoFlows(t *testing.T) {
	near(t, "of three", disagreement([]Separation{{FlowMLs: 10}, {FlowMLs: 12}, {FlowMLs: 99, Withheld: NotComputable}, {FlowMLs: 11}}), 2.0/11, 1e-12)
	if one := disagreement([]Separation{{FlowMLs: 10}}); !math.IsNaN(one) {
		t.Errorf("of one: %g", one)
	}
}
