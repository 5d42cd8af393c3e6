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
func (r Ref) Compare(q Ref) int { return rank(&r).compare(rank(&q)) }

// IsSorted tells whether the facts are in the order of Compare.
func (s *Session) IsSorted() bool {
	var before ranked
	for i := range s.Facts {
		r := rank(&s.Facts[i].Ref)
		if i > 0 && before.compare(r) > 0 {
			return false
		}
		before = r
	}
	return true
}

// Sort brings the facts into the order of Compare, in the slice in which they are; of
// equal ones the earlier stays first.
func (s *Session) Sort() {
	type placed struct {
		ranked
		at int
	}
	sorted := true
	order := make([]placed, len(s.Facts))
	for i := range s.Facts {
		order[i] = placed{rank(&s.Facts[i].Ref), i}
		sorted = sorted && (i == 0 || order[i-1].compare(order[i].ranked) <= 0)
	}
	if sorted {
		return
	}
	slices.SortFunc(order, func(a, b placed) int {
		return cmp.Or(a.compare(b.ranked), cmp.Compare(a.at, b.at))
	})
	from := make([]int, len(order)) // where what belongs at each place stands
	for i := range order {
		from[i] = order[i].at
	}
	arrange(s.Facts, from)
}

// arrange puts at each place the fact that stands where from says, going round each ring
// of facts that take each other's places; from is used up.
func arrange(facts []Fact, from []int) {
	for i := range facts {
		if from[i] == i {
			continue
		}
		first, at := facts[i], i
		for from[at] != i {
			next := from[at]
			facts[at], from[at] = facts[next], at
			at = next
		}
		facts[at], from[at] = first, at
	}
}

// ranked is the place of a fact in the order, looked up once.
type ranked struct {
	ref       *Ref
	row, kind int32
}

func rank(r *Ref) ranked {
	return ranked{r, int32(rowOf(r.Measure)), int32(slices.Index(kinds, r.About.Kind))}
}

func (r ranked) compare(q ranked) int {
	switch {
	case r.kind != q.kind:
		return cmp.Compare(r.kind, q.kind)
	case r.ref.About.Key != q.ref.About.Key:
		return compareKeys(r.ref.About.Key, q.ref.About.Key)
	case r.row != q.row:
		return cmp.Compare(r.row, q.row)
	}
	return cmp.Or(cmp.Compare(r.ref.Measure, q.ref.Measure), cmp.Compare(r.ref.Origin, q.ref.Origin))
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
