package record_test

import (
	"slices"
	"strconv"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

func ref(kind measure.About, key, row string, origin record.Origin) record.Ref {
	return record.Ref{About: record.Thing{Kind: kind, Key: key}, Measure: row, Origin: origin}
}

func TestFactsAreSortedAndEqualOnesKeepTheirOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		keys := rapid.SliceOf(rapid.SampledFrom([]string{"1", "2", "10", "3", "1.2"})).Draw(t, "keys")
		var s record.Session
		for i, key := range keys {
			s.Facts = append(s.Facts, record.Fact{Ref: ref(measure.Injection, key, "injection", record.Stated), Method: strconv.Itoa(i)})
		}
		want := slices.Clone(s.Facts)
		slices.SortStableFunc(want, func(a, b record.Fact) int { return a.Ref.Compare(b.Ref) })
		s.Sort()
		if diff := cmp.Diff(want, s.Facts); diff != "" {
			t.Fatal(diff)
		}
	})
}

func TestFactsHaveOneOrder(t *testing.T) {
	want := []record.Ref{
		ref(measure.Session, "", "session-panel", record.Derived),
		ref(measure.Session, "", "weight", record.Stated),
		ref(measure.Session, "", "blood-flow", record.Derived),
		ref(measure.Session, "", "blood-flow", record.Recomputed),
		ref(measure.Level, "atrial", "level-state", record.Stated),
		ref(measure.Level, "ductal", "level-state", record.Stated),
		ref(measure.Injection, "2", "injection", record.Stated),
		ref(measure.Injection, "2", "blood-flow", record.Reported),
		ref(measure.Injection, "10", "injection", record.Stated),
		ref(measure.Reading, "1.2", "comparator-flow", record.Stated),
		ref(measure.Reading, "1.10", "comparator-flow", record.Stated),
		ref(measure.Reading, "2.1", "comparator-flow", record.Stated),
	}
	s := record.Session{}
	for _, r := range want {
		s.Facts = append(s.Facts, record.Fact{Ref: r})
	}
	slices.Reverse(s.Facts)
	s.Sort()
	for i, f := range s.Facts {
		if f.Ref != want[i] {
			t.Errorf("place %d has %v, want %v", i, f.Ref, want[i])
		}
	}
	for i := range want {
		for j := range want {
			if got := want[i].Compare(want[j]); (got < 0) != (i < j) || (got == 0) != (i == j) {
				t.Errorf("%v compared with %v is %d", want[i], want[j], got)
			}
		}
	}
}
