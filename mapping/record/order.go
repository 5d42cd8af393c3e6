package record

import (
	"cmp"
	"slices"
	"strings"

	"saltmark/mapping/measure"
)

// kinds is the order of the kinds of things.
var kinds = []measure.About{
	measure.Session, measure.Level, measure.Catheter, measure.Injection, measure.Sample, measure.Event,
	measure.Drug, measure.Earlier, measure.Confirmation, measure.Comparator, measure.Reading,
}

// Compare orders facts: by kind of thing, key of the thing (numbers by their
// size), row of the table of measures, origin.
func (r Ref) Compare(q Ref) int {
	return cmp.Or(
		cmp.Compare(slices.Index(kinds, r.About.Kind), slices.Index(kinds, q.About.Kind)),
		compareKeys(r.About.Key, q.About.Key),
		cmp.Compare(rowOf(r.Measure), rowOf(q.Measure)),
		cmp.Compare(r.Measure, q.Measure),
		cmp.Compare(r.Origin, q.Origin),
	)
}

// Sort brings the facts into the order of Compare.
func (s *Session) Sort() {
	slices.SortStableFunc(s.Facts, func(a, b Fact) int { return a.Ref.Compare(b.Ref) })
}

func rowOf(key string) int {
	if m := measure.Get(key); m != nil {
		return m.Row
	}
	return -1
}

// compareKeys compares "2" and "10", "1.2" and "1.10" by number; other keys by
// their letters.
func compareKeys(a, b string) int {
	for a != "" && b != "" {
		x, restA := cutRun(a)
		y, restB := cutRun(b)
		if c := compareRuns(x, y); c != 0 {
			return c
		}
		a, b = restA, restB
	}
	return cmp.Compare(len(a), len(b))
}

func compareRuns(x, y string) int {
	if !isDigit(x[0]) || !isDigit(y[0]) {
		return cmp.Compare(x, y)
	}
	p, q := strings.TrimLeft(x, "0"), strings.TrimLeft(y, "0")
	return cmp.Or(cmp.Compare(len(p), len(q)), cmp.Compare(p, q), cmp.Compare(len(x), len(y)))
}

// cutRun cuts a run of digits, or of anything else, off the front.
func cutRun(s string) (run, rest string) {
	i := 1
	for i < len(s) && isDigit(s[i]) == isDigit(s[0]) {
		i++
	}
	return s[:i], s[i:]
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }
