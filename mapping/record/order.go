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
func (r Ref) Compare(q Ref) int { return rank(0, &r).compare(rank(0, &q)) }

// IsSorted tells whether the facts are in the order of Compare.
func (s *Session) IsSorted() bool {
	var before ranked
	for i := range s.Facts {
		r := rank(i, &s.Facts[i].Ref)
		if i > 0 && before.compare(r) > 0 {
			return false
		}
		before = r
	}
	return true
}

// Sort brings the facts into the order of Compare; of equal ones the earlier stays
// first.
func (s *Session) Sort() {
	if s.IsSorted() {
		return
	}
	order := make([]ranked, len(s.Facts))
	for i := range s.Facts {
		order[i] = rank(i, &s.Facts[i].Ref)
	}
	slices.SortFunc(order, func(a, b ranked) int {
		if c := a.compare(b); c != 0 {
			return c
		}
		return cmp.Compare(a.at, b.at)
	})
	facts := make([]Fact, len(s.Facts))
	for i, r := range order {
		facts[i] = s.Facts[r.at]
	}
	s.Facts = facts
}

// ranked is the place of a fact in the order, looked up once.
type ranked struct {
	at, kind, row        int
	key, measure, origin string
}

func rank(at int, r *Ref) ranked {
	return ranked{at, slices.Index(kinds, r.About.Kind), rowOf(r.Measure), r.About.Key, r.Measure, string(r.Origin)}
}

func (r ranked) compare(q ranked) int {
	switch {
	case r.kind != q.kind:
		return cmp.Compare(r.kind, q.kind)
	case r.key != q.key:
		return compareKeys(r.key, q.key)
	case r.row != q.row:
		return cmp.Compare(r.row, q.row)
	}
	return cmp.Or(cmp.Compare(r.measure, q.measure), cmp.Compare(r.origin, q.origin))
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
