package trace_test

import (
	"math"
	"testing"

	"saltmark/internal/finding"
	"saltmark/internal/trace"

	"github.com/google/go-cmp/cmp"
)

// What is read can be written and read again, has values that are numbers, and
// passes through SampledData unchanged.
func FuzzReadCSV(f *testing.F) {
	f.Add([]byte(rows("time_ms,arterial [1],venous [%]", "%d0,0.0%d,-%d.5")))
	f.Add([]byte("\uFEFF# c\r\n" + rows("time_s;venous [m/s]", "0.%d;157%d.25\r")))
	f.Add([]byte(rows("time_s,arterial [1]", "%d,") + "33,1e-7\n34.5,\n"))
	f.Add([]byte(curve(-20, -10, 0, 13, 20, 30, 40, 50, 64, 70, 80, 200)))
	f.Add([]byte("time_s,arterial\r1,2"))
	f.Fuzz(func(t *testing.T, data []byte) {
		recording, findings := trace.ReadCSV("f", data, map[string]string{trace.Arterial: "1"})
		if len(recording.Series) == 0 {
			if !findings.HasErrors() {
				t.Fatal("neither a series nor an error")
			}
			return
		}
		if findings.HasErrors() {
			t.Fatalf("series in spite of %q", texts(findings))
		}
		for _, s := range recording.Series {
			throughSampledData(t, s)
		}
		written, err := trace.WriteCSV(recording.Series)
		if err != nil {
			t.Fatal(err)
		}
		again, findings := trace.ReadCSV("f", written, nil)
		if diff := cmp.Diff(recording.Series, again.Series); diff != "" || again.Resampled {
			t.Fatalf("read -, written and read again +:\n%s%q", diff, texts(findings))
		}
	})
}

func throughSampledData(t *testing.T, s trace.Series) {
	t.Helper()
	values, err := s.Values()
	if err != nil {
		t.Fatal(err)
	}
	for i, v := range values {
		if math.IsInf(v, 0) || math.IsNaN(v) != (s.Samples[i] == trace.Missing) {
			t.Fatalf("value %d is %v, sample %d", i, v, s.Samples[i])
		}
	}
	back, findings := trace.FromSampledData(s.Name, s.StartMs, s.SampledData(), finding.Place{})
	if diff := cmp.Diff(s, back); diff != "" || len(findings) > 0 {
		t.Fatalf("series -, back +:\n%s%q", diff, texts(findings))
	}
}

// A series that is read has finite values and reads back the same from what it
// writes; data without a problem make a series or a told error.
func FuzzFromSampledData(f *testing.F) {
	f.Add("0", "10", "0.01", "", "", 1, "1 -2 E")
	f.Add("1570.5", "33.3", "", "1", "2", 1, "1.25 L U -0.5")
	f.Add("1e3", "1e1", "1e-6", "", "", 2, "1  2\n3")
	f.Fuzz(func(t *testing.T, origin, period, factor, lower, upper string, dimensions int, data string) {
		in := trace.Text{Origin: origin, Unit: "1", Period: period, Factor: factor, LowerLimit: lower, UpperLimit: upper, Dimensions: dimensions, Data: data}
		s, findings := trace.FromSampledData(trace.Venous, "0", in, finding.Place{})
		if findings.HasErrors() {
			return
		}
		values, err := s.Values()
		if err != nil {
			t.Fatal(err)
		}
		for i, v := range values {
			if math.IsInf(v, 0) || math.IsNaN(v) != (s.Samples[i] <= trace.Beyond) {
				t.Fatalf("value %d is %v", i, v)
			}
		}
		if _, _, err := s.Seconds(); err != nil {
			t.Fatal(err)
		}
		back, findings := trace.FromSampledData(s.Name, s.StartMs, s.SampledData(), finding.Place{})
		if diff := cmp.Diff(s, back); diff != "" || len(findings) > 0 {
			t.Fatalf("series -, back +:\n%s%q", diff, texts(findings))
		}
	})
}
