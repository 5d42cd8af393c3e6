package main

import (
	"context"
	"fmt"
	"io"
	"runtime"
	"time"

	"saltmark/internal/accuracy/cases"
	"saltmark/internal/circuit"
	"saltmark/internal/dilution"
	"saltmark/internal/trace"
)

// Bars for one injection with two traces of 90 s at 100 Hz, from the text of the CSV
// file to all results, on one core, ms.
const (
	medianBar, medianGoal = 40.0, 15.0
	tailBar, tailGoal     = 100.0, 30.0
)

// recorded is the text of a CSV file and what the sheet says beside it.
type recorded struct {
	text  []byte
	input dilution.Input
}

// newRecorded makes a recording of so many seconds in all.
func newRecorded(c circuit.Circuit, seed uint64, baselineS, afterS float64) (recorded, error) {
	setup := cases.Setup{Recording: cases.Usual(), Alter: func(s *circuit.Scenario) { s.BaselineS, s.AfterS = baselineS, afterS }}
	setup.Unit = dilution.Percent
	made, err := cases.Make(c, setup, seed)
	if err != nil {
		return recorded{}, err
	}
	r := made.Recording
	var series []trace.Series
	for _, s := range []struct {
		name    string
		samples circuit.Samples
	}{{trace.Arterial, r.Arterial}, {trace.Venous, r.Venous}} {
		one, err := trace.Uniform(s.name, s.samples.Unit, r.StartS, r.StepS, s.samples.Values, 4)
		if err != nil {
			return recorded{}, err
		}
		series = append(series, one)
	}
	text, err := trace.WriteCSV(series)
	return recorded{text, made.Input}, err
}

// analysed reads the text and computes everything.
func (r recorded) analysed() (dilution.Result, error) {
	recording, findings := trace.ReadCSV("speed.csv", r.text, nil)
	if len(recording.Series) != 2 {
		return dilution.Result{}, fmt.Errorf("a made trace is not read: %v", findings)
	}
	in := r.input
	for i, curve := range []*dilution.Curve{&in.Arterial, &in.Venous} {
		s := recording.Series[i]
		values, err := s.Values()
		if err != nil {
			return dilution.Result{}, err
		}
		start, step, err := s.Seconds()
		if err != nil {
			return dilution.Result{}, err
		}
		*curve = dilution.Curve{StartS: start, StepS: step, Values: values, Unit: s.Unit, Lower: curve.Lower, Upper: curve.Upper}
	}
	return dilution.Analyse(in), nil
}

// speed prints what one injection costs, on one core.
func speed(ctx context.Context, w io.Writer, n int, strict bool) error {
	runtime.GOMAXPROCS(1)
	var short, long []float64
	for i := range n {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		c := circuits()[i%len(circuits())]
		ms, err := timed(c, uint64(i), 15, 75)
		if err != nil {
			return err
		}
		short = append(short, ms)
		if i%20 == 0 {
			ms, err := timed(c, uint64(i), 15, 30*60-15)
			if err != nil {
				return err
			}
			long = append(long, ms)
		}
	}
	median, tail := quantile(short, 0.5, confidence), quantile(short, 0.95, confidence)
	thirty := quantile(long, 0.5, confidence)
	fmt.Fprintf(w, "One injection, two traces of 90 s at 100 Hz, from CSV text to all results, one core, n %d:\n", n)
	fmt.Fprintf(w, "median %s ms (bar %g, goal %g), 95th percentile %s ms (bar %g, goal %g)\n", brief(median), medianBar, medianGoal, brief(tail), tailBar, tailGoal)
	fmt.Fprintf(w, "30 minutes: %s ms, %.2g times one of 90 s; in proportion it would be 20 times\n", brief(thirty), thirty.value/median.value)
	if strict && (median.value > medianBar || tail.value > tailBar || thirty.value > 20*median.value) {
		return fmt.Errorf("a bar is missed")
	}
	return nil
}

func timed(c circuit.Circuit, seed uint64, baselineS, afterS float64) (ms float64, err error) {
	r, err := newRecorded(c, seed, baselineS, afterS)
	if err != nil {
		return 0, err
	}
	started := time.Now()
	_, err = r.analysed()
	return float64(time.Since(started)) / float64(time.Millisecond), err
}
