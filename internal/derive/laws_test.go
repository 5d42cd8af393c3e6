package derive

import (
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"saltmark/internal/sheet/sheettest"
	"saltmark/internal/ucum"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// drawn draws a session of any kind with the settings of the invented site, some of
// which may be missing.
func drawn() *rapid.Generator[*record.Session] {
	return rapid.Custom(func(t *rapid.T) *record.Session {
		s := sheettest.Session().Draw(t, "session")
		for _, f := range empty().Facts {
			if s.Get(f.About, f.Measure) == nil && rapid.IntRange(0, 19).Draw(t, "setting") > 0 {
				s.Facts = append(s.Facts, f)
			}
		}
		if rapid.IntRange(0, 2).Draw(t, "variation") == 0 {
			put(s, "session", "pooled-variation", "3.0 %")
		}
		return s
	})
}

func copyOf(s *record.Session) *record.Session {
	c := *s
	c.Facts = slices.Clone(s.Facts)
	return &c
}

// sameFacts compares two sessions whatever the order of their facts.
func sameFacts(a, b *record.Session) string {
	a, b = copyOf(a), copyOf(b)
	a.Sort()
	b.Sort()
	return cmp.Diff(a.Facts, b.Facts)
}

func TestWhatWasAppliedChecksClean(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawn().Draw(t, "session")
		Apply(s)
		for _, f := range Check(s) {
			t.Errorf("%s", f.Text(true))
		}
	})
}

func TestApplyingTwiceGivesTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawn().Draw(t, "session")
		first := Apply(s)
		before := copyOf(s)
		second := Apply(s)
		if diff := cmp.Diff(before.Facts, s.Facts); diff != "" {
			t.Errorf("facts: %s", diff)
		}
		if diff := cmp.Diff(first, second); diff != "" {
			t.Errorf("findings: %s", diff)
		}
	})
}

func TestTheOrderOfFactsDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawn().Draw(t, "session")
		other := copyOf(s)
		other.Facts = rapid.Permutation(other.Facts).Draw(t, "order")
		Apply(s)
		Apply(other)
		if diff := sameFacts(s, other); diff != "" {
			t.Error(diff)
		}
	})
}

func TestCheckChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawn().Draw(t, "session")
		if rapid.Bool().Draw(t, "derived") {
			Apply(s)
		}
		before := copyOf(s)
		Check(s)
		if diff := cmp.Diff(before.Facts, s.Facts); diff != "" {
			t.Error(diff)
		}
	})
}

func TestSourcesAreObservationsOfTheSession(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawn().Draw(t, "session")
		Apply(s)
		for _, f := range s.Facts {
			if f.Origin != record.Derived {
				continue
			}
			m := measure.Get(f.Measure)
			if m.In != "" && (len(f.From) > 0 || f.At != "" || f.Method != "") {
				t.Errorf("%s is a component and has a time, a method or sources of its own", nameOf(f.Ref))
			}
			if m.In == "" && f.At == "" {
				t.Errorf("%s has no time", nameOf(f.Ref))
			}
			for _, r := range f.From {
				if s.Find(r.About, r.Measure, r.Origin) == nil || measure.Get(r.Measure).In != "" {
					t.Errorf("%s names %s, which is no Observation of the session", nameOf(f.Ref), nameOf(r))
				}
				if cause := s.Code(r.About, "exclusion-cause"); cause != "" && m.Kind != measure.Group {
					t.Errorf("%s names injection %s, which is excluded for %s", nameOf(f.Ref), r.About.Key, cause)
				}
			}
			if f.Value.IsAbsent() && len(f.From) > 0 {
				t.Errorf("%s is absent and made from something", nameOf(f.Ref))
			}
		}
	})
}

// alwaysSaid are the values that every session has, be they absent with a reason.
var alwaysSaid = []string{"blood-flow", "blood-flow-index-by-weight", "blood-flow-index-by-area", "stroke-volume", "stroke-volume-index"}

func TestEverySessionSaysWhatItsFlowIs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawn().Draw(t, "session")
		Apply(s)
		label := s.Verdict().Label
		for _, key := range alwaysSaid {
			f := s.Find(record.TheSession, key, record.Derived)
			if f == nil || f.Label != label {
				t.Fatalf("%s is missing or not labelled %s", key, label.Code())
			}
			if f.Value.IsAbsent() == (f.Value.Quantity != record.Quantity{}) {
				t.Errorf("%s has neither a value nor a reason, or both", key)
			}
		}
	})
}

func TestWhatTheTableWithholdsHasNoNumber(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawn().Draw(t, "session")
		Apply(s)
		v := s.Verdict()
		for _, f := range s.Facts {
			m := measure.Get(f.Measure)
			if v.Of(m.Column) == measure.Withheld && !f.Value.IsAbsent() {
				t.Errorf("%s is charted under %s", nameOf(f.Ref), v.Label.Code())
			}
			if f.Value.IsAbsent() {
				if _, known := measure.ReasonOf(f.Value.Absent.Reason); !known {
					t.Errorf("%s is absent for %q", nameOf(f.Ref), f.Value.Absent.Reason)
				}
			}
			if m.Labelled == f.Label.IsZero() {
				t.Errorf("%s: labelled is %v", nameOf(f.Ref), !f.Label.IsZero())
			}
		}
	})
}

// An injection more or less changes nothing about the other injections but what
// hangs on the label of the session, and no identity at all.
func TestAnInjectionMoreLeavesTheOthersAlone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawn().Draw(t, "session")
		with := copyOf(s)
		minute := rapid.IntRange(1, 40).Draw(t, "minutes after the start")
		at := record.At(s.Start.Go().Add(time.Duration(minute)*time.Minute + 30*time.Second))
		inject(with, "99", string(at), strconv.Itoa(rapid.IntRange(100, 900).Draw(t, "flow"))+" mL/min")
		Apply(s)
		Apply(with)
		same := s.Verdict().Label == with.Verdict().Label
		for _, f := range s.Facts {
			if f.About.Kind != measure.Injection {
				continue
			}
			g := with.Find(f.About, f.Measure, f.Origin)
			if g == nil {
				t.Fatalf("%s is gone", nameOf(f.Ref))
			}
			if same && f.Value != g.Value || f.At != g.At || same && f.Label != g.Label {
				t.Errorf("%s: %+v became %+v", nameOf(f.Ref), f, *g)
			}
		}
		for _, f := range with.Facts {
			if f.About.Kind == measure.Injection && f.About.Key != "99" && s.Find(f.About, f.Measure, f.Origin) == nil {
				t.Errorf("%s is new", nameOf(f.Ref))
			}
		}
	})
}

// What was taken back counts for nothing and stays as it was.
func TestFactsTakenBackCountForNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawn().Draw(t, "session")
		if s.Withdrawn() {
			t.Skip("everything is taken back")
		}
		with := copyOf(s)
		inject(with, "98", string(s.Start), "0.9 L/min", "shunt-sign: yes")
		put(with, "event 98", "event", "surfactant at "+string(s.Start))
		for i := range with.Facts {
			if f := &with.Facts[i]; f.About.Key == "98" {
				f.Status = record.EnteredInError
			}
		}
		gone := record.Fact{Ref: record.Ref{About: record.TheSession, Measure: "oxygen-delivery-index", Origin: record.Derived}, Status: record.EnteredInError,
			Value: record.Value{Quantity: ucum.Quantity{Number: "503", Unit: "mL/min/m2"}}, Label: measure.Label{Flows: measure.Qs}}
		Apply(s)
		if s.Find(gone.About, gone.Measure, gone.Origin) == nil {
			with.Facts = append(with.Facts, gone)
		}
		Apply(with)
		for _, f := range Check(with) {
			t.Errorf("%s", f.Text(true))
		}
		kept := 0
		with.Facts = slices.DeleteFunc(with.Facts, func(f record.Fact) bool {
			if f.Status == record.EnteredInError {
				kept++
			}
			return f.Status == record.EnteredInError
		})
		if diff := sameFacts(s, with); diff != "" || kept < 5 {
			t.Errorf("%d kept: %s", kept, diff)
		}
	})
}

// Whatever a foreign bundle holds, derivation answers: facts about anything, of any
// measure or none, with values of the wrong kind.
func TestNoFactsMakeItPanic(t *testing.T) {
	keys := []string{"no-such-measure"}
	for _, m := range measure.All() {
		keys = append(keys, m.Key)
	}
	kinds := []measure.About{measure.Session, measure.Injection, measure.Level, measure.Catheter, measure.Sample, measure.Event, measure.Earlier, measure.Confirmation, measure.Reading, "odd"}
	times := []string{"", "2031-05-03", "2031-05-03T14:24:00+02:00", "9999-12-31T23:59:59Z", "0001-01-01", "odd"}
	numbers := []string{"", "0", "-1", "0.610", "9999999999999999999999999999999999999999", "odd"}
	units := []string{"", "L/min", "kg", "cm", "%", "h", "a", "Cel", "odd"}
	fact := rapid.Custom(func(t *rapid.T) record.Fact {
		key := rapid.SampledFrom(keys).Draw(t, "key")
		about := record.Thing{Kind: rapid.SampledFrom(kinds).Draw(t, "kind"), Key: rapid.SampledFrom([]string{"", "1", "ductal", "venous", "1.1"}).Draw(t, "thing")}
		unit := rapid.SampledFrom(units).Draw(t, "unit")
		if m := measure.Get(key); m != nil && rapid.Bool().Draw(t, "fitting") {
			about.Kind, unit = m.About[0], m.Unit
		}
		if about.Kind == measure.Session {
			about.Key = ""
		}
		value := record.Value{
			Quantity: record.Quantity{Number: rapid.SampledFrom(numbers).Draw(t, "number"), Unit: unit},
			Code:     rapid.SampledFrom([]string{"", "yes", "open", "closed", "air", "liver", "boyd"}).Draw(t, "code"),
			Time:     record.Time(rapid.SampledFrom(times).Draw(t, "value time")),
		}
		if rapid.IntRange(0, 4).Draw(t, "absent") == 0 {
			value.Absent.Reason = rapid.SampledFrom([]string{"not-shown", "shunt-rule", "odd"}).Draw(t, "reason")
		}
		return record.Fact{
			Ref:   record.Ref{About: about, Measure: key, Origin: rapid.SampledFrom([]record.Origin{record.Stated, record.Reported, record.Recomputed, record.Derived, record.Setting, ""}).Draw(t, "origin")},
			Value: value, At: record.Time(rapid.SampledFrom(times).Draw(t, "time")),
			Status: rapid.SampledFrom([]record.Status{"", record.Final, record.EnteredInError}).Draw(t, "status"),
		}
	})
	rapid.Check(t, func(t *rapid.T) {
		s := &record.Session{Start: record.Time(rapid.SampledFrom(times).Draw(t, "start")), End: record.Time(rapid.SampledFrom(times).Draw(t, "end"))}
		s.Facts = rapid.SliceOfN(fact, 0, 60).Draw(t, "facts")
		Check(s)
		Apply(s)
		first := copyOf(s)
		Apply(s)
		if diff := cmp.Diff(first.Facts, s.Facts); diff != "" {
			t.Errorf("not the same twice: %s", diff)
		}
	})
}
