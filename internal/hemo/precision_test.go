package hemo_test

import (
	"math"
	"testing"

	"saltmark/internal/hemo"
)

func TestLeastSignificantChangeFallsWithTheNumberOfInjections(t *testing.T) {
	for _, c := range []struct {
		cv        float64
		n         int
		want      float64
		tolerance float64
		source    string
	}{
		{7, 1, 19.8, 0.05, "computed from the formula"},
		{7, 2, 14, 0.05, "printed: Monnet X et al. Crit Care 2011;15:R204, abstract"},
		{7, 3, 12, 0.6, "printed, same abstract: a median of patients, hence the wide tolerance"},
		{7, 3, 11.4, 0.05, "computed from the formula"},
		{7, 4, 9.9, 0.05, "computed from the formula"},
		{7, 5, 8.9, 0.06, "computed from the formula"},
		{5.1, 4, 7, 0.25, "printed: Thermodilution cardiac output - are three injections enough? Acta Anaesthesiol Scand 2004, abstract, which takes 1.96 for 2"},
	} {
		got, err := hemo.LeastSignificantChange(c.cv, c.n)
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.source, got, c.want, c.tolerance)
	}
}

// Same abstract of 2004: the mean of four lies within 5 % of the true value.
func TestMeanOfFourLiesWithinFivePerCent(t *testing.T) {
	got, err := hemo.PrecisionOfMean(5.1, 4)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "precision", got, 5, 0.11)
}

func TestPrecisionRefusesWhatIsNoVariation(t *testing.T) {
	for _, cv := range []float64{-1, math.NaN(), math.Inf(1), math.MaxFloat64} {
		if got, err := hemo.LeastSignificantChange(cv, 1); err == nil {
			t.Errorf("variation %v: %v, want an error", cv, got)
		}
	}
	for _, n := range []int{0, -1} {
		if got, err := hemo.PrecisionOfMean(7, n); err == nil {
			t.Errorf("%d replicates: %v, want an error", n, got)
		}
	}
}
