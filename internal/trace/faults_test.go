package trace_test

import (
	"strings"
	"testing"

	"saltmark/internal/trace"

	"github.com/google/go-cmp/cmp"
)

const columns = `time_s or time_ms, and arterial, venous or both are wanted, with the unit in brackets, such as "arterial [%]"`

// Each text has one fault; its message stands beside it.
func TestAFaultIsToldWithItsPlace(t *testing.T) {
	head, row := "time_ms,arterial [1]", "%d0,0.0%d"
	for _, c := range []struct {
		name, data string
		units      map[string]string
		want       []string
	}{
		{name: "nothing", data: "", want: []string{
			"curve.csv trace-header error: the file has no header; " + columns}},
		{name: "comments only", data: "# a\n# b\n", want: []string{
			"curve.csv trace-header error: the file has no header; " + columns}},
		{name: "no time", data: rows("arterial [1]", "0.0%d"), want: []string{
			"curve.csv:1 trace-header error: the header has no column of time; " + columns}},
		{name: "no values", data: rows("time_s", "%d"), want: []string{
			"curve.csv:1 trace-header error: the header has no column of values; " + columns}},
		{name: "two times", data: rows("time_s,time_ms,arterial [1]", "%d,%d,0.1"), want: []string{
			"curve.csv:1:8 trace-header error: column time_ms comes beside time_s; each column stands once, and one of time"}},
		{name: "a column twice", data: rows("time_s,venous [1],venous [1]", "%d,1,1"), want: []string{
			"curve.csv:1:19 trace-header error: column venous comes beside venous; each column stands once, and one of time"}},
		{name: "numbers from the first line on", data: "0,0.1\n1,0.2\n", want: []string{
			"curve.csv:1:1 trace-column error: no column is called (value not shown); " + columns,
			"curve.csv:1:3 trace-column error: no column is called (value not shown); " + columns}},
		{name: "a column of another kind", data: "# x\n" + rows("time_s;  pressure [mm[Hg]];arterial [1]", "%d,5,1"), want: []string{
			"curve.csv:2:10 trace-column error: no column is called (value not shown); " + columns}},
		{name: "tabs", data: rows("time_s\tarterial [1]", "%d\t1"), want: []string{
			"curve.csv:1:1 trace-column error: no column is called (value not shown); " + columns}},
		{name: "no unit", data: rows("time_s,arterial", "%d,1"), want: []string{
			"curve.csv:1:8 trace-unit error: column arterial has no unit; 1 (volume fraction), % or m/s is wanted, in brackets behind the name or stated beside the file"}},
		{name: "unknown unit", data: rows("time_s,arterial [mV]", "%d,1"), want: []string{
			"curve.csv:1:8 trace-unit error: the unit of column arterial is (value not shown); 1 (volume fraction), % or m/s is wanted"}},
		{name: "unknown unit beside the file", data: rows("time_s,arterial", "%d,1"), units: map[string]string{"arterial": "V"}, want: []string{
			"curve.csv:1:8 trace-unit error: the unit of column arterial is (value not shown); 1 (volume fraction), % or m/s is wanted"}},
		{name: "two units", data: rows("time_s,arterial [1]", "%d,1"), units: map[string]string{"arterial": "%"}, want: []string{
			"curve.csv:1:8 trace-unit error: column arterial is in 1 by its header and in (value not shown) as stated beside the file; one unit is wanted"}},
		{name: "unit of a time", data: rows("time_s [s],arterial [1]", "%d,1"), want: []string{
			"curve.csv:1:1 trace-unit error: column time_s has a unit of its own, (value not shown); the name of a time column is its unit"}},

		{name: "a word", data: rows(head, row) + "100,  high\n", want: []string{
			"curve.csv:12:7 trace-number error: (value not shown) is no number; a decimal with a point, such as -0.0125, is wanted, or nothing for a missing sample"}},
		{name: "a quoted number", data: rows(head, row) + "100,\"1\"\n", want: []string{
			"curve.csv:12:5 trace-number error: (value not shown) is no number; a decimal with a point, such as -0.0125, is wanted, or nothing for a missing sample"}},
		{name: "a decimal comma beside semicolons", data: rows("time_ms;arterial [1]", "%d0;0.0%d") + "100;0,1\n", want: []string{
			"curve.csv:12:5 trace-number error: (value not shown) is no number; a decimal comma is not accepted; a decimal with a point, such as -0.0125, is wanted, or nothing for a missing sample"}},
		{name: "a decimal comma beside commas", data: rows(head, row) + "100,0,1\n", want: []string{
			`curve.csv:12:1 trace-row error: the row has "3" cells; 2 cells, as in the header, are wanted; a decimal comma is not accepted`}},
		{name: "a cell too few", data: rows(head, row) + "100\n", want: []string{
			`curve.csv:12:1 trace-row error: the row has "1" cells; 2 cells, as in the header, are wanted`}},
		{name: "too many digits", data: rows(head, row) + "100,0.1234567890123456789\n", want: []string{
			"curve.csv:12:5 trace-number-length error: the number has too many digits; at most 18 digits in 40 characters are read"}},
		{name: "too large a value", data: rows(head, row) + "100,1000000000\n", want: []string{
			`curve.csv:12:5 trace-number error: the value is "1000000000"; a size below 10^9 is wanted`}},
		{name: "too late a time", data: rows(head, row) + "1000000001,0.1\n", want: []string{
			`curve.csv:12:1 trace-number error: the time is "1000000001"; at most 10^6 s on both sides of the origin of time are allowed`}},
		{name: "no time in a row", data: rows(head, row) + ",0.1\n", want: []string{
			"curve.csv:12:1 trace-number error: the row has no time; each row needs its time"}},
		{name: "a time twice", data: rows(head, row) + "90,0.1\n", want: []string{
			`curve.csv:12:1 trace-time-order error: the time "90" stands twice; each row needs a later time than the row before`}},
		{name: "a time that goes back", data: rows(head, row) + "85,0.1\n", want: []string{
			`curve.csv:12:1 trace-time-order error: the time "85" comes after a later one; each row needs a later time than the row before`}},
		{name: "an empty line between rows", data: rows(head, row) + "\n100,0.1\n", want: []string{
			"curve.csv:12:1 trace-row error: an empty line stands between rows; empty lines are allowed at the end"}},
		{name: "a comment between rows", data: rows(head, row) + "# end\n", want: []string{
			"curve.csv:12:1 trace-row error: a comment stands below the header; comments are allowed above it"}},
		{name: "carriage returns alone", data: strings.ReplaceAll(rows(head, row), "\n", "\r"), want: []string{
			"curve.csv:1:21 trace-line-end error: a carriage return stands alone; lines end in LF or CRLF"}},
		{name: "carriage returns alone behind a comment", data: "# x\r" + rows(head, row), want: []string{
			"curve.csv:1:4 trace-line-end error: a carriage return stands alone; lines end in LF or CRLF"}},
		{name: "another encoding", data: rows(head, row) + "100,0.1\xFF\n", want: []string{
			"curve.csv:12 trace-encoding error: the text is not UTF-8; UTF-8 is wanted"}},
		{name: "too few rows", data: head + "\n0,0.1\n10,0.1\n", want: []string{
			`curve.csv trace-few-samples error: the file has "2" rows; at least 10 are wanted`}},
		{name: "a header alone", data: head, want: []string{
			`curve.csv trace-few-samples error: the file has "0" rows; at least 10 are wanted`}},
		{name: "too few values", data: rows("time_ms,arterial [1],venous [1]", "%d0,0.1,"), want: []string{
			`curve.csv trace-few-samples error: column venous has "0" measured values; at least 10 are wanted`}},
		{name: "few values left on the median step", data: curve(0, 1, 2, 3, 4, 50, 60, 70, 80, 90), want: []string{
			`curve.csv trace-few-samples error: column arterial has "6" values on the step of most rows, 10 ms; at least 10 are wanted`}},
		{name: "a gap too long to fill", data: rows("time_s,arterial [1]", "0.00%d,0.1") + "100000,0.1\n", want: []string{
			`curve.csv trace-length error: the file spans more than "2000000" samples at its median step; a recording without so long a gap is wanted`}},
	} {
		t.Run(c.name, func(t *testing.T) {
			recording, findings := trace.ReadCSV("curve.csv", []byte(c.data), c.units)
			if diff := cmp.Diff(c.want, texts(findings)); diff != "" {
				t.Errorf("want -, got +:\n%s", diff)
			}
			if len(recording.Series) > 0 {
				t.Errorf("%d series in spite of an error", len(recording.Series))
			}
		})
	}
}

func TestReadingStopsAfterTwentyErrors(t *testing.T) {
	_, findings := trace.ReadCSV("curve.csv", []byte("time_s,arterial [1]\n"+strings.Repeat("x,y\n", 1000)), nil)
	if len(findings) < 21 || len(findings) > 22 || findings[0].Rule != "trace-stopped" {
		t.Errorf("%d findings, the first %q", len(findings), texts(findings)[0])
	}
}

func TestMoreThanTwoMillionRowsAreRefused(t *testing.T) {
	var b strings.Builder
	b.WriteString("time_ms,arterial [1]\n")
	for i := range trace.MaxSamples + 1 {
		b.WriteString(itoa(i) + ",0\n")
	}
	_, findings := trace.ReadCSV("curve.csv", []byte(b.String()), nil)
	want := []string{`curve.csv:2000002 trace-length error: the file has more than "2000000" rows; a shorter recording or longer steps are wanted`}
	if diff := cmp.Diff(want, texts(findings)); diff != "" {
		t.Errorf("want -, got +:\n%s", diff)
	}
}
