package trace_test

import (
	"math"
	"testing"

	"saltmark/internal/trace"

	"github.com/google/go-cmp/cmp"
)

func TestAComputedCurveIsReadBackAsItWasRounded(t *testing.T) {
	var values []float64
	for i := range 40 {
		values = append(values, 1.5*math.Sin(float64(i)/5))
	}
	values[7] = math.NaN()
	s, err := trace.Uniform(trace.Arterial, "%", -8.53, 0.01, values, 4)
	if err != nil {
		t.Fatal(err)
	}
	text, err := trace.WriteCSV([]trace.Series{s})
	if err != nil {
		t.Fatal(err)
	}
	read, _ := good(t, string(text), nil)
	if diff := cmp.Diff([]trace.Series{s}, read.Series); diff != "" || read.Resampled {
		t.Errorf("made -, read +:\n%s", diff)
	}
	got, err := read.Series[0].Values()
	if err != nil {
		t.Fatal(err)
	}
	for i, v := range values {
		if math.IsNaN(v) != math.IsNaN(got[i]) || math.Abs(v-got[i]) > 0.5e-4+1e-12 {
			t.Errorf("sample %d: %g for %g", i, got[i], v)
		}
	}
	if start, step, err := s.Seconds(); err != nil || start != -8.53 || step != 0.01 {
		t.Errorf("from %g s by %g s, %v", start, step, err)
	}
}

func TestCurvesThatDoNotFitAreRefused(t *testing.T) {
	for name, c := range map[string]struct {
		start, step, value float64
		decimals           int
	}{
		"too many decimals": {0, 0.01, 1, 7},
		"too large":         {0, 0.01, 3e9, 0},
		"infinite":          {0, 0.01, math.Inf(1), 2},
		"no step":           {0, 0, 1, 2},
		"no start":          {math.NaN(), 0.01, 1, 2},
	} {
		if s, err := trace.Uniform(trace.Venous, "1", c.start, c.step, []float64{c.value}, c.decimals); err == nil {
			t.Errorf("%s: %+v", name, s)
		}
	}
}
