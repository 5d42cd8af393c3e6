package trace_test

import (
	"math"
	"strings"
	"testing"

	"saltmark/internal/finding"
	"saltmark/internal/trace"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func pointer() finding.Place {
	return finding.Place{File: "b.json", Pointer: "/entry/3/resource/valueSampledData"}
}

// text is a SampledData without a fault.
func text() trace.Text {
	return trace.Text{Origin: "1570", Unit: "m/s", Period: "10", Factor: "0.01", Dimensions: 1, Data: "12 13 E -4"}
}

func TestASeriesIsWrittenAsSampledData(t *testing.T) {
	s := trace.Series{
		Name: trace.Venous, Unit: "%", Origin: "0", Factor: "0.001", LowerLimit: "0.001", UpperLimit: "20",
		StartMs: "-500", PeriodMs: "10", Samples: []int32{0, 12, -3, trace.Missing, trace.Below, trace.Beyond},
	}
	want := trace.Text{
		Origin: "0", Unit: "%", Period: "10", Factor: "0.001", LowerLimit: "0.001", UpperLimit: "20",
		Dimensions: 1, Data: "0 12 -3 E L U",
	}
	if diff := cmp.Diff(want, s.SampledData()); diff != "" {
		t.Errorf("want -, got +:\n%s", diff)
	}
}

func drawDecimal(rt *rapid.T, label string) string {
	return rapid.StringMatching(`-?(0|[1-9][0-9]{0,3})(\.[0-9]{1,4})?`).Draw(rt, label)
}

func drawSeries(rt *rapid.T) trace.Series {
	s := trace.Series{
		Name: rapid.SampledFrom([]string{trace.Arterial, trace.Venous}).Draw(rt, "name"),
		Unit: rapid.SampledFrom([]string{"1", "%", "m/s"}).Draw(rt, "unit"), Origin: drawDecimal(rt, "origin"),
		Factor:  rapid.SampledFrom([]string{"1", "0.1", "0.010", "0.000001", "-2.5"}).Draw(rt, "factor"),
		StartMs: drawDecimal(rt, "start"), PeriodMs: rapid.SampledFrom([]string{"10", "33.333333", "0.5"}).Draw(rt, "period"),
		LowerLimit: rapid.SampledFrom([]string{"", "-1.50"}).Draw(rt, "lower"), UpperLimit: rapid.SampledFrom([]string{"", "99"}).Draw(rt, "upper"),
	}
	marks := []int32{trace.Missing}
	if s.LowerLimit != "" {
		marks = append(marks, trace.Below)
	}
	if s.UpperLimit != "" {
		marks = append(marks, trace.Beyond)
	}
	sample := rapid.OneOf(rapid.Int32Range(-math.MaxInt32+2, math.MaxInt32-2), rapid.Int32Range(-20, 20), rapid.SampledFrom(marks))
	s.Samples = rapid.SliceOfN(sample, 1, 50).Draw(rt, "samples")
	return s
}

func TestSampledDataReadsBackAsTheSameSeries(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		want := drawSeries(rt)
		got, findings := trace.FromSampledData(want.Name, want.StartMs, want.SampledData(), pointer())
		if diff := cmp.Diff(want, got); diff != "" || len(findings) > 0 {
			rt.Fatalf("want -, got +:\n%s%q", diff, texts(findings))
		}
	})
}

func TestWhatIsWrittenPassesTheCheckOfData(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		written := drawSeries(rt).SampledData()
		if problems := trace.CheckData(written.Data, written.Dimensions, written.LowerLimit != "", written.UpperLimit != ""); problems != nil {
			rt.Fatalf("%v", problems)
		}
	})
}

func TestDecimalsOfSamplesGoIntoTheFactor(t *testing.T) {
	foreign := text()
	foreign.Factor, foreign.Data = "", "0.5 12 -3.25 E"
	got, findings := trace.FromSampledData(trace.Venous, "0", foreign, pointer())
	want := trace.Series{
		Name: trace.Venous, Unit: "m/s", Origin: "1570", Factor: "0.01", StartMs: "0", PeriodMs: "10",
		Samples: []int32{50, 1200, -325, trace.Missing},
	}
	if diff := cmp.Diff(want, got); diff != "" || len(findings) > 0 {
		t.Errorf("want -, got +:\n%s%q", diff, texts(findings))
	}
	values, err := got.Values()
	if err != nil || values[0] != 1570.5 || values[1] != 1582 || values[2] != 1566.75 || !math.IsNaN(values[3]) {
		t.Errorf("%v %v", values, err)
	}
}

func TestAFaultOfSampledDataIsToldWithItsPlace(t *testing.T) {
	at := "b.json#/entry/3/resource/valueSampledData"
	for _, c := range []struct {
		name   string
		change func(*trace.Text)
		want   string
	}{
		{"dimensions", func(t *trace.Text) { t.Dimensions = 2 }, at + `/dimensions trace-data-dimensions error: dimensions is "2"; 1 is wanted for a trace`},
		{"no origin", func(t *trace.Text) { t.Origin = "" }, at + `/origin trace-data-number error: origin is ""; a decimal of at most 18 digits is wanted`},
		{"factor no number", func(t *trace.Text) { t.Factor = "x" }, at + `/factor trace-data-number error: factor is "x"; a decimal of at most 18 digits is wanted`},
		{"factor zero", func(t *trace.Text) { t.Factor = "0" }, at + `/factor trace-data-number error: factor 0 is zero or has too many digits beside origin 1570; fewer digits are wanted`},
		{"period zero", func(t *trace.Text) { t.Period = "0" }, at + `/period trace-data-number error: period is "0"; a number above 0 is wanted`},
		{"period below zero", func(t *trace.Text) { t.Period = "-10" }, at + `/period trace-data-number error: period is "-10"; a number above 0 is wanted`},
		{"lower limit", func(t *trace.Text) { t.LowerLimit = "low" }, at + `/lowerLimit trace-data-number error: lowerLimit is "low"; a decimal of at most 18 digits is wanted`},
		{"upper limit", func(t *trace.Text) { t.UpperLimit = "1e99" }, at + `/upperLimit trace-data-number error: upperLimit is "1e99"; a decimal of at most 18 digits is wanted`},
		{"too many digits together", func(t *trace.Text) { t.Origin = "1e18"; t.Factor = "1e-18" }, at + `/origin trace-data-number error: origin is "1e18"; a decimal of at most 18 digits is wanted`},
		{"too many digits beside each other", func(t *trace.Text) { t.Origin = "1e17"; t.Factor = "1e-17" }, at + `/factor trace-data-number error: origin 1e17 and factor 1e-17 have too many digits between them; fewer digits are wanted`},
		{"a word in the data", func(t *trace.Text) { t.Data = "12 X 4" }, at + `/data trace-data-text error: sample "X" at byte 3 is no number; a plain decimal, E, L or U is wanted`},
		{"a limit that is not there", func(t *trace.Text) { t.Data = "12 L 4" }, at + `/data trace-data-text error: the data hold L at byte 3; a lowerLimit is wanted beside it`},
		{"a sample too large", func(t *trace.Text) { t.Data = "12 2147483647" }, at + `/data trace-data-size error: sample "2147483647" is too large for its decimals; at most 2147483645 steps of the finest decimal are read`},
		{"a sample too long", func(t *trace.Text) { t.Data = "1234567890123456789" }, at + `/data trace-data-size error: sample "1234567890123456789" is too long; at most 18 digits are read`},
		{"too many samples", func(t *trace.Text) { t.Data = strings.Repeat("1 ", trace.MaxSamples) + "1" }, at + `/data trace-data-size error: the data hold "2000001" samples; at most 2000000 are read`},
	} {
		t.Run(c.name, func(t *testing.T) {
			changed := text()
			c.change(&changed)
			got, findings := trace.FromSampledData(trace.Venous, "0", changed, pointer())
			if diff := cmp.Diff([]string{c.want}, texts(findings)); diff != "" {
				t.Errorf("want -, got +:\n%s", diff)
			}
			if got.Samples != nil {
				t.Error("a series in spite of an error")
			}
		})
	}
	if _, findings := trace.FromSampledData(trace.Venous, "soon", text(), pointer()); !findings.HasErrors() {
		t.Error("a start that is no number is taken")
	}
}

func TestValuesAreTheNearestNumbersToTheirDecimals(t *testing.T) {
	s := trace.Series{Origin: "0", Factor: "0.0001", Samples: []int32{3, 1234, -7}}
	values, err := s.Values()
	if diff := cmp.Diff([]float64{0.0003, 0.1234, -0.0007}, values); diff != "" || err != nil {
		t.Errorf("%v, want -, got +:\n%s", err, diff)
	}
	if _, err := (trace.Series{}).Values(); err == nil {
		t.Error("a series without origin and factor has values")
	}
}

func TestTimesAreGivenInSeconds(t *testing.T) {
	start, period, err := trace.Series{StartMs: "-30000", PeriodMs: "33.333333"}.Seconds()
	if start != -30 || period != 0.033333333 || err != nil {
		t.Errorf("%v %v %v", start, period, err)
	}
	for _, s := range []trace.Series{{StartMs: "0"}, {PeriodMs: "10"}, {StartMs: "0", PeriodMs: "0"}, {StartMs: "0", PeriodMs: "-1"}} {
		if _, _, err := s.Seconds(); err == nil {
			t.Errorf("start %q, period %q: no error", s.StartMs, s.PeriodMs)
		}
	}
}
