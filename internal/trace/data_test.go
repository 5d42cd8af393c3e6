package trace_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saltmark/internal/finding"
	"saltmark/internal/trace"
)

// FHIR R4, data type SampledData: decimals separated by a single space, or one of
// E, L, U; L and U are relative to the limits; decimals as in the definition of
// the type decimal, of which the exponent is left out here.
func TestDataAreDecimalsAndMarksWithOneSpaceBetween(t *testing.T) {
	one := func(kind trace.ProblemKind, offset int, text string) []trace.Problem {
		return []trace.Problem{{Kind: kind, Offset: offset, Text: text}}
	}
	for _, c := range []struct {
		name, data string
		dimensions int
		lower, up  bool
		want       []trace.Problem
	}{
		{name: "integers", data: "1 -2 0", dimensions: 1},
		{name: "decimals", data: "1.50 -0.25 0.0", dimensions: 1},
		{name: "one sample", data: "E", dimensions: 1},
		{name: "marks with limits", data: "E L U", dimensions: 1, lower: true, up: true},
		{name: "pairs", data: "1 2 3 4", dimensions: 2},
		{name: "dimensions below one", data: "1 2 3", dimensions: 0},
		{name: "nothing", data: "", dimensions: 1, want: one(trace.DataEmpty, 0, "")},
		{name: "leading space", data: " 1 2", dimensions: 1, want: one(trace.DataSpace, 0, "")},
		{name: "trailing space", data: "1 2 ", dimensions: 1, want: one(trace.DataSpace, 4, "")},
		{name: "two spaces", data: "1  2", dimensions: 1, want: one(trace.DataSpace, 2, "")},
		{name: "a space alone", data: " ", dimensions: 1, want: []trace.Problem{{Kind: trace.DataSpace}, {Kind: trace.DataSpace, Offset: 1}}},
		{name: "tab", data: "1\t2", dimensions: 1, want: one(trace.DataSeparator, 1, "")},
		{name: "newline", data: "1 2\n3", dimensions: 1, want: one(trace.DataSeparator, 3, "")},
		{name: "no-break space", data: "1\u00A02", dimensions: 1, want: one(trace.DataSeparator, 1, "")},
		{name: "exponent", data: "1 1e-3", dimensions: 1, want: one(trace.DataExponent, 2, "1e-3")},
		{name: "large exponent letter", data: "2.5E+3", dimensions: 1, want: one(trace.DataExponent, 0, "2.5E+3")},
		{name: "another letter", data: "1 X", dimensions: 1, want: one(trace.DataWord, 2, "X")},
		{name: "small letter", data: "e", dimensions: 1, want: one(trace.DataWord, 0, "e")},
		{name: "plus sign", data: "+1", dimensions: 1, want: one(trace.DataWord, 0, "+1")},
		{name: "leading zero", data: "01", dimensions: 1, want: one(trace.DataWord, 0, "01")},
		{name: "point without a digit before", data: ".5", dimensions: 1, want: one(trace.DataWord, 0, ".5")},
		{name: "point without a digit behind", data: "5.", dimensions: 1, want: one(trace.DataWord, 0, "5.")},
		{name: "two points", data: "1.2.3", dimensions: 1, want: one(trace.DataWord, 0, "1.2.3")},
		{name: "decimal comma", data: "1,5", dimensions: 1, want: one(trace.DataWord, 0, "1,5")},
		{name: "minus alone", data: "-", dimensions: 1, want: one(trace.DataWord, 0, "-")},
		{name: "not a number", data: "NaN", dimensions: 1, want: one(trace.DataWord, 0, "NaN")},
		{name: "L without a limit, told once", data: "1 L L", dimensions: 1, up: true, want: one(trace.DataNoLower, 2, "")},
		{name: "U without a limit, told once", data: "U 1 U", dimensions: 1, lower: true, want: one(trace.DataNoUpper, 0, "")},
		{name: "an odd sample", data: "1 2 3", dimensions: 2, want: one(trace.DataCount, 0, "3")},
		{name: "several", data: "x  1 L", dimensions: 1, want: []trace.Problem{
			{Kind: trace.DataWord, Text: "x"}, {Kind: trace.DataSpace, Offset: 2}, {Kind: trace.DataNoLower, Offset: 5}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			if diff := cmp.Diff(c.want, trace.CheckData(c.data, c.dimensions, c.lower, c.up)); diff != "" {
				t.Errorf("want -, got +:\n%s", diff)
			}
		})
	}
}

func TestNoMoreThanTwentyProblemsAreTold(t *testing.T) {
	if n := len(trace.CheckData(strings.Repeat("x ", 1000), 7, false, false)); n != 20 {
		t.Errorf("%d problems", n)
	}
}

func TestEachKindOfProblemHasItsSentence(t *testing.T) {
	seen := map[finding.Text]bool{}
	for kind := trace.DataEmpty; kind <= trace.DataCount; kind++ {
		found, allowed := trace.Problem{Kind: kind, Offset: 5}.Sentence()
		if found == "" || allowed == "" || seen[found] {
			t.Errorf("kind %d: %q, %q", kind, found, allowed)
		}
		seen[found] = true
	}
}
