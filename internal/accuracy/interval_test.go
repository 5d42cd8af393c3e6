package main

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Clopper and Pearson: 0 of n has the upper end 1 - (tail)^(1/n), n of n the lower end
// tail^(1/n); 1 of 10 is 0.0025 to 0.4450 in the usual tables (from memory).
func TestSharesHaveTheirExactInterval(t *testing.T) {
	for _, c := range []struct {
		k, n      int
		low, high float64
		within    float64
	}{
		{0, 10, 0, 1 - math.Pow(0.025, 0.1), 1e-9},
		{10, 10, math.Pow(0.025, 0.1), 1, 1e-9},
		{1, 10, 0.0025, 0.4450, 5e-5},
		{0, 1000, 0, 1 - math.Pow(0.025, 0.001), 1e-9},
	} {
		got := share(c.k, c.n, 0.95)
		if math.Abs(got.low-c.low) > c.within || math.Abs(got.high-c.high) > c.within {
			t.Errorf("%d of %d: %g to %g, want %g to %g", c.k, c.n, got.low, got.high, c.low, c.high)
		}
	}
}

// The ends solve the two equations that define them.
func TestTheEndsOfAShareLeaveATailEach(t *testing.T) {
	for _, c := range [][2]int{{3, 40}, {380, 400}, {1700, 3400}} {
		got := share(c[0], c[1], 0.95)
		if below, above := atMost(c[1], c[0], got.high), 1-atMost(c[1], c[0]-1, got.low); math.Abs(below-0.025) > 1e-6 || math.Abs(above-0.025) > 1e-6 {
			t.Errorf("%v: tails of %g and %g", c, below, above)
		}
	}
}

// For the median of 10 the ranks are 2 and 9 (Conover; 1 - 22/1024 = 97.9 %).
func TestQuantilesHaveOrderStatisticsAsEnds(t *testing.T) {
	x := []float64{10, 9, 8, 7, 6, 5, 4, 3, 2, 1}
	got := quantile(x, 0.5, 0.95)
	if got.value != 5.5 || got.low != 2 || got.high != 9 || got.n != 10 {
		t.Errorf("%+v", got)
	}
	// 95th percentile: with fewer than 72 values nothing bounds it from above at 95 %.
	if got := quantile(make([]float64, 71), 0.95, 0.95); !math.IsInf(got.high, 1) {
		t.Errorf("71 values bound the 95th percentile by %g", got.high)
	}
	if got := quantile(make([]float64, 72), 0.95, 0.95); math.IsInf(got.high, 1) {
		t.Error("72 values do not bound the 95th percentile")
	}
	if got := quantile(nil, 0.5, 0.95); !math.IsNaN(got.value) || got.n != 0 {
		t.Errorf("of nothing: %+v", got)
	}
}

func TestIntervalsOfQuantilesCoverAsStated(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	covered := 0
	const tries = 2000
	for range tries {
		x := make([]float64, 120)
		for i := range x {
			x[i] = rng.Float64()
		}
		if i := quantile(x, 0.95, 0.95); i.low <= 0.95 && 0.95 <= i.high {
			covered++
		}
	}
	// At least 95 % by construction; four standard deviations of the count below it.
	if part := float64(covered) / tries; part < 0.95-4*math.Sqrt(0.05*0.95/tries) {
		t.Errorf("covers %g", part)
	}
}
