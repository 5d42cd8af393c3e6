package trace_test

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"
	"testing"

	"saltmark/internal/finding"
	"saltmark/internal/trace"

	"github.com/google/go-cmp/cmp"
)

// rows repeats a row of a recording ten times, with %d for its number.
func rows(header, row string) string {
	var b strings.Builder
	b.WriteString(header + "\n")
	for i := range trace.MinSamples {
		b.WriteString(strings.ReplaceAll(row, "%d", fmt.Sprint(i)) + "\n")
	}
	return b.String()
}

func ramp(from, step int32) []int32 {
	var samples []int32
	for i := range int32(trace.MinSamples) {
		samples = append(samples, from+i*step)
	}
	return samples
}

func texts(l finding.List) []string {
	var all []string
	for _, f := range l {
		all = append(all, f.Text(false))
	}
	return all
}

// good reads a recording that must not have an error.
func good(t *testing.T, data string, units map[string]string) (trace.Recording, finding.List) {
	t.Helper()
	recording, findings := trace.ReadCSV("curve.csv", []byte(data), units)
	if findings.HasErrors() || len(recording.Series) == 0 {
		t.Fatalf("%d series, findings %q", len(recording.Series), texts(findings))
	}
	return recording, findings
}

func TestARecordingKeepsEveryWrittenDigit(t *testing.T) {
	want := trace.Series{
		Name: trace.Arterial, Unit: "%", Origin: "0", Factor: "0.001",
		StartMs: "0", PeriodMs: "10", Samples: ramp(110, 1000),
	}
	tenth := rows("time_ms,arterial [%]", "%d0,%d.110")
	for name, data := range map[string]string{
		"plain":                   tenth,
		"semicolons":              strings.ReplaceAll(tenth, ",", ";"),
		"byte order mark":         "\uFEFF" + tenth,
		"CRLF":                    strings.ReplaceAll(tenth, "\n", "\r\n"),
		"no end of the last line": strings.TrimSuffix(tenth, "\n"),
		"empty lines at the end":  tenth + "\n\r\n\n",
		"comments at the top":     "# bench run\n#\n\n" + tenth,
		"spaces around cells":     rows("time_ms , arterial [%] ", "%d0\t, %d.110 "),
		"columns turned round":    rows("arterial[%],time_ms", "%d.110,%d0"),
		"time in seconds":         rows("time_s,arterial [%]", "0.0%d,%d.110"),
		"one longer than others":  strings.Replace(rows("time_ms,arterial [%]", "%d0,%d.11"), "0.11", "0.110", 1),
		"with an exponent":        rows("time_ms,arterial [%]", "%d0,%d11.0e-2"),
	} {
		t.Run(name, func(t *testing.T) {
			recording, findings := good(t, data, nil)
			if diff := cmp.Diff([]trace.Series{want}, recording.Series); diff != "" || len(findings) > 0 {
				t.Errorf("want -, got +:\n%s%q", diff, texts(findings))
			}
		})
	}
}

func TestAUnitStandsInTheHeaderOrBesideTheFile(t *testing.T) {
	data := rows("time_s,venous,arterial [m/s]", "%d,1570.2%d,1569.9%d")
	recording, _ := good(t, data, map[string]string{"venous": "m/s", "arterial": "m/s"})
	want := []trace.Series{
		{Name: trace.Venous, Unit: "m/s", Origin: "1570", Factor: "0.01", StartMs: "0", PeriodMs: "1000", Samples: ramp(20, 1)},
		{Name: trace.Arterial, Unit: "m/s", Origin: "1569", Factor: "0.01", StartMs: "0", PeriodMs: "1000", Samples: ramp(90, 1)},
	}
	if diff := cmp.Diff(want, recording.Series); diff != "" {
		t.Errorf("want -, got +:\n%s", diff)
	}
	if _, ok := recording.Named(trace.Arterial); !ok {
		t.Error("no arterial series")
	}
	if _, ok := recording.Named("central"); ok {
		t.Error("a series that the file lacks")
	}
}

func TestTheDigestIsOfTheFileAsItCame(t *testing.T) {
	for _, data := range []string{"\uFEFF" + rows("time_s,arterial [1]", "%d,0.0%d"), "no recording"} {
		recording, _ := trace.ReadCSV("curve.csv", []byte(data), nil)
		if sum := sha256.Sum256([]byte(data)); recording.SHA256 != hex.EncodeToString(sum[:]) {
			t.Errorf("%q: %s", data[:10], recording.SHA256)
		}
	}
}

func TestAnEmptyCellIsAMissingSample(t *testing.T) {
	data := rows("time_ms,arterial [1],venous [1]", "%d0,0.0%d,0.0%d") + "100,,0.01\n110,0.02,\n"
	recording, findings := good(t, data, nil)
	for _, s := range recording.Series {
		if s.Count(trace.Missing) != 1 || len(s.Samples) != 12 {
			t.Errorf("%s: %v", s.Name, s.Samples)
		}
	}
	want := []string{
		`curve.csv trace-missing information: column arterial has "1" empty cells; they are marked as missing samples`,
		`curve.csv trace-missing information: column venous has "1" empty cells; they are marked as missing samples`,
	}
	if diff := cmp.Diff(want, texts(findings)); diff != "" {
		t.Errorf("want -, got +:\n%s", diff)
	}
}

func TestMoreThanSixDecimalsAreRoundedAndSaid(t *testing.T) {
	recording, findings := good(t, rows("time_ms,arterial [1]", "%d0,0.0%d00051"), nil)
	s := recording.Series[0]
	if s.Factor != "0.000001" || !slices.Equal(s.Samples, ramp(5, 10000)) {
		t.Errorf("factor %s, samples %v", s.Factor, s.Samples)
	}
	want := []string{`curve.csv trace-rounded information: column arterial was rounded to steps of "0.000001"; at most six decimals are kept`}
	if diff := cmp.Diff(want, texts(findings)); diff != "" {
		t.Errorf("want -, got +:\n%s", diff)
	}
	if _, findings := good(t, rows("time_ms,arterial [1]", "%d0,0.0%d0000"), nil); len(findings) > 0 {
		t.Errorf("zeros alone: %q", texts(findings))
	}
}

func TestHalvesAreRoundedAwayFromZero(t *testing.T) {
	data := rows("time_ms,arterial [1],venous [1]", "%d0,0.000000%d,-0.000000%d")
	recording, _ := good(t, data, nil)
	want := []int32{0, 0, 0, 0, 0, 1, 1, 1, 1, 1}
	if got := recording.Series[0].Samples; !slices.Equal(got, want) {
		t.Errorf("above zero: %v", got)
	}
	for i := range want {
		want[i] = -want[i]
	}
	if got := recording.Series[1].Samples; !slices.Equal(got, want) {
		t.Errorf("below zero: %v", got)
	}
}

func TestDecimalsGiveWayWhereSamplesWouldNotFit(t *testing.T) {
	data := rows("time_ms,arterial [m/s]", "%d0,1.000001") + "100,900000000.5\n"
	recording, findings := good(t, data, nil)
	s := recording.Series[0]
	if s.Factor != "1" || s.Samples[0] != 0 || s.Samples[10] != 900_000_000 || s.Origin != "1" {
		t.Errorf("origin %s, factor %s, samples %v", s.Origin, s.Factor, s.Samples)
	}
	if len(findings) != 1 || findings[0].Rule != "trace-rounded" {
		t.Errorf("findings %q", texts(findings))
	}
}

func TestTheOriginIsTheWholePartNearestToZero(t *testing.T) {
	for _, c := range []struct{ row, origin string }{
		{"1570.%d", "1570"}, {"-1570.%d", "-1570"}, {"0.%d", "0"}, {"-0.%d", "0"}, {"1%d.5", "10"}, {"-1%d.5", "-10"},
	} {
		recording, _ := good(t, rows("time_ms,arterial [m/s]", "%d0,"+c.row), nil)
		if got := recording.Series[0].Origin; got != c.origin {
			t.Errorf("%s: origin %s, want %s", c.row, got, c.origin)
		}
	}
	data := rows("time_ms,arterial [m/s]", "%d0,-5.5") + "100,7\n"
	if recording, _ := good(t, data, nil); recording.Series[0].Origin != "0" {
		t.Errorf("both sides of zero: origin %s", recording.Series[0].Origin)
	}
}

func TestAFileAboveTheLimitIsRefusedUnread(t *testing.T) {
	recording, findings := trace.ReadCSV("curve.csv", make([]byte, trace.MaxBytes+1), nil)
	want := []string{`curve.csv trace-size error: the file has "33554433" bytes; at most 33554432 are read`}
	if diff := cmp.Diff(want, texts(findings)); diff != "" || recording.SHA256 != "" {
		t.Errorf("want -, got +:\n%s", diff)
	}
}
