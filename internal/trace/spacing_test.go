package trace_test

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"saltmark/internal/trace"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func itoa(i int) string { return strconv.Itoa(i) }

// curve writes a recording whose value at each time is that time in ms over 10.
func curve(times ...float64) string {
	var b strings.Builder
	b.WriteString("time_ms,arterial [%]\n")
	for _, at := range times {
		fmt.Fprintf(&b, "%s,%s\n", strconv.FormatFloat(at, 'f', -1, 64), strconv.FormatFloat(at/10, 'f', 2, 64))
	}
	return b.String()
}

func TestALostRowLeavesAMarkAndNoInventedValue(t *testing.T) {
	for _, c := range []struct {
		name string
		data string
	}{
		{"in ms", curve(0, 10, 20, 30, 40, 60, 70, 80, 90, 100, 110)},
		// The step is one unit of the last digit: a lost row must not pass as rounding.
		{"step of one unit", strings.Replace(rows("time_s,arterial [%]", "0.0%d,%d.00")+"0.10,10.00\n0.11,11.00\n", "0.05,5.00\n", "", 1)},
	} {
		t.Run(c.name, func(t *testing.T) {
			recording, findings := good(t, c.data, nil)
			s := recording.Series[0]
			want := []int32{0, 100, 200, 300, 400, trace.Missing, 600, 700, 800, 900, 1000, 1100}
			if !slices.Equal(s.Samples, want) || s.PeriodMs != "10" || recording.Resampled {
				t.Errorf("period %s, resampled %v, %v", s.PeriodMs, recording.Resampled, s.Samples)
			}
			told := []string{`curve.csv:7 trace-gap warning: 1 gaps between rows, the longest of "20" ms; the first ends here; rows every 10 ms are wanted; the samples within are marked as missing`}
			if diff := cmp.Diff(told, texts(findings)); diff != "" {
				t.Errorf("want -, got +:\n%s", diff)
			}
		})
	}
}

func TestUnevenRowsAreResampledToTheirMedianStep(t *testing.T) {
	recording, findings := good(t, curve(-20, -10, 0, 13, 20, 30, 40, 50, 64, 70, 80), nil)
	s := recording.Series[0]
	if s.StartMs != "-20" || s.PeriodMs != "10" || !recording.Resampled {
		t.Errorf("start %s, period %s, resampled %v", s.StartMs, s.PeriodMs, recording.Resampled)
	}
	if want := []int32{-200, -100, 0, 100, 200, 300, 400, 500, 600, 700, 800}; !slices.Equal(s.Samples, want) {
		t.Errorf("samples %v, want %v", s.Samples, want)
	}
	told := []string{`curve.csv trace-uneven information: the rows are unevenly spaced, with a median step of "10" ms; the trace was resampled linearly to that step; 2 points lie between rows`}
	if diff := cmp.Diff(told, texts(findings)); diff != "" {
		t.Errorf("want -, got +:\n%s", diff)
	}
}

func TestAPointBesideAMissingSampleIsMissing(t *testing.T) {
	data := strings.Replace(curve(0, 10, 20, 33, 40, 50, 60, 70, 80, 90, 100, 110), "33,3.30", "33,", 1)
	recording, _ := good(t, data, nil)
	if got := recording.Series[0].Samples[2:5]; !slices.Equal(got, []int32{200, trace.Missing, 400}) {
		t.Errorf("%v", got)
	}
}

func TestRoundedTimeStampsAreAnEvenGrid(t *testing.T) {
	for _, c := range []struct {
		name   string
		decade float64 // digits kept of a second
		hertz  float64
		period string
	}{
		{"30 Hz to the millisecond", 1e3, 30, "33.333333"},
		{"30 Hz to the hundredth", 1e2, 30, "33.333333"},
		{"128 Hz to the millisecond", 1e3, 128, "7.8125"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var b strings.Builder
			b.WriteString("time_s,arterial [1]\n")
			for i := range 3841 {
				fmt.Fprintf(&b, "%v,%d\n", math.Round(float64(i)/c.hertz*c.decade)/c.decade, i)
			}
			recording, findings := good(t, b.String(), nil)
			s := recording.Series[0]
			if len(findings) > 0 || recording.Resampled || len(s.Samples) != 3841 || !strings.HasPrefix(s.PeriodMs, c.period[:4]) {
				t.Errorf("period %s, %d samples, %q", s.PeriodMs, len(s.Samples), texts(findings))
			}
		})
	}
}

func TestTimeStampsOfBinaryArithmeticAreAnEvenGrid(t *testing.T) {
	var b strings.Builder
	b.WriteString("time_s,arterial [1]\n")
	for i := range 1000 {
		fmt.Fprintf(&b, "%s,%d\n", strconv.FormatFloat(float64(i)*0.1*0.1, 'g', -1, 64), i)
	}
	recording, findings := good(t, b.String(), nil)
	if s := recording.Series[0]; s.PeriodMs != "10" || len(findings) > 0 {
		t.Errorf("period %s, %q", s.PeriodMs, texts(findings))
	}
}

func TestResamplingAStraightLineGivesTheLine(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		steps := rapid.SliceOfN(rapid.IntRange(8, 15), 12, 60).Draw(rt, "steps")
		slope := rapid.IntRange(-50, 50).Draw(rt, "slope")
		var b strings.Builder
		b.WriteString("time_ms,arterial [1]\n")
		at := rapid.IntRange(-1000, 1000).Draw(rt, "start")
		for _, step := range steps {
			fmt.Fprintf(&b, "%d,%d\n", at, at*slope)
			at += step
		}
		recording, findings := trace.ReadCSV("", []byte(b.String()), nil)
		if findings.HasErrors() {
			rt.Fatalf("%q", texts(findings))
		}
		if !recording.Resampled {
			rt.Skip("rows lie on an even grid, as written or rounded")
		}
		s := recording.Series[0]
		values, err := s.Values()
		start, period, errTimes := s.Seconds()
		if err != nil || errTimes != nil {
			rt.Fatal(err, errTimes)
		}
		for i, v := range values {
			if want := (start + float64(i)*period) * 1000 * float64(slope); math.Abs(v-want) > 1e-6 {
				rt.Fatalf("point %d is %v, want %v", i, v, want)
			}
		}
	})
}
