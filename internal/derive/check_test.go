package derive

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saltmark/internal/finding"
	"saltmark/internal/ucum"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// mutation spoils one fact; it is false where it does not fit the fact.
type mutation struct {
	name   string
	rule   string
	mutate func(s *record.Session, i int) bool
}

func derived(f *record.Fact) bool { return f.Origin == record.Derived }
func own(f *record.Fact) bool     { return derived(f) && measure.Get(f.Measure).In == "" }

var mutations = []mutation{
	{"a derived fact is left out", "derived-missing", func(s *record.Session, i int) bool {
		if !derived(&s.Facts[i]) {
			return false
		}
		s.Facts = slices.Delete(slices.Clone(s.Facts), i, i+1)
		return true
	}},
	{"a derived fact is there twice", "derived-extra", func(s *record.Session, i int) bool {
		s.Facts = append(s.Facts, s.Facts[i])
		return derived(&s.Facts[i])
	}},
	{"a derived fact is about another thing", "derived-extra", func(s *record.Session, i int) bool {
		s.Facts[i].About.Key += "7"
		return derived(&s.Facts[i])
	}},
	{"a number is another", "derived-value", func(s *record.Session, i int) bool {
		f := &s.Facts[i]
		if !derived(f) || f.Value.Quantity == (ucum.Quantity{}) {
			return false
		}
		f.Value.Quantity.Number = "9" + strings.TrimPrefix(f.Value.Quantity.Number, "-")
		return true
	}},
	{"a unit is another", "derived-value", func(s *record.Session, i int) bool {
		f := &s.Facts[i]
		if !derived(f) || f.Value.Quantity == (ucum.Quantity{}) {
			return false
		}
		f.Value.Quantity.Unit = "mg"
		return true
	}},
	{"a trailing zero is lost", "derived-value", func(s *record.Session, i int) bool {
		f := &s.Facts[i]
		number := f.Value.Quantity.Number
		if !derived(f) || !strings.Contains(number, ".") || !strings.HasSuffix(number, "0") {
			return false
		}
		f.Value.Quantity.Number = strings.TrimSuffix(number, "0")
		return true
	}},
	{"a code is another", "derived-value", func(s *record.Session, i int) bool {
		f := &s.Facts[i]
		if !derived(f) || f.Value.Code == "" {
			return false
		}
		f.Value.Code += "-odd"
		return true
	}},
	{"a value is taken away", "withheld-wrong", func(s *record.Session, i int) bool {
		f := &s.Facts[i]
		if !derived(f) || f.Value.IsAbsent() {
			return false
		}
		f.Value = record.Value{Absent: record.Absence{Reason: "shunt-rule"}}
		return true
	}},
	{"a withheld value is charted", "withheld-wrong", func(s *record.Session, i int) bool {
		f := &s.Facts[i]
		if !f.Value.IsAbsent() || !derived(f) && !withholding(f.Value.Absent.Reason) {
			return false
		}
		f.Value = record.Value{Quantity: ucum.Quantity{Number: "4.1", Unit: "mL"}}
		return true
	}},
	{"a value is withheld for another reason", "withheld-wrong", func(s *record.Session, i int) bool {
		f := &s.Facts[i]
		if !f.Value.IsAbsent() || !derived(f) && !withholding(f.Value.Absent.Reason) {
			return false
		}
		reason := "shunt-rule"
		if f.Value.Absent.Reason == reason {
			reason = "sign-unanswered"
		}
		f.Value.Absent.Reason = reason
		return true
	}},
	{"a reported value is withheld without a reason", "withheld-wrong", func(s *record.Session, i int) bool {
		f := &s.Facts[i]
		if f.Origin != record.Reported || f.Value.IsAbsent() || measure.Get(f.Measure).Column == "" || measure.Get(f.Measure).Column == measure.ColumnFlow {
			return false
		}
		// Withheld in the session too, as a writer who believed in it would do.
		f.Value = record.Value{Absent: record.Absence{Reason: "shunt-rule"}}
		return true
	}},
	{"a time is moved by an hour", "derived-time", func(s *record.Session, i int) bool {
		f := &s.Facts[i]
		if !own(f) {
			return false
		}
		f.At = record.At(f.At.Go().Add(3600e9))
		return true
	}},
	{"a label is left out", "label-wrong", func(s *record.Session, i int) bool {
		f := &s.Facts[i]
		labelled := !f.Label.IsZero()
		f.Label = measure.Label{}
		return labelled
	}},
	{"a label says more", "label-wrong", func(s *record.Session, i int) bool {
		f := &s.Facts[i]
		labelled := !f.Label.IsZero() && f.Label.Flows != measure.AllFlows
		f.Label = measure.Label{Flows: measure.AllFlows}
		return labelled
	}},
	{"what needs no label has one", "label-wrong", func(s *record.Session, i int) bool {
		f := &s.Facts[i]
		unlabelled := f.Label.IsZero()
		f.Label = measure.Label{Flows: measure.Qs}
		return unlabelled
	}},
	{"a source is left out", "derived-sources", func(s *record.Session, i int) bool {
		f := &s.Facts[i]
		if !own(f) || len(f.From) == 0 {
			return false
		}
		f.From = f.From[1:]
		return true
	}},
	{"a source is added", "derived-sources", func(s *record.Session, i int) bool {
		f := &s.Facts[i]
		f.From = append(slices.Clone(f.From), record.Ref{About: record.Thing{Kind: measure.Injection, Key: "77"}, Measure: "blood-flow", Origin: record.Reported})
		return own(f)
	}},
	{"a method is named", "derived-method", func(s *record.Session, i int) bool {
		f := &s.Facts[i]
		f.Method += "odd"
		return own(f)
	}},
}

func hasRule(l finding.List, rule string) bool {
	return slices.ContainsFunc(l, func(f finding.Finding) bool { return f.Rule == rule })
}

func TestEverySpoiledFactIsFoundByItsRule(t *testing.T) {
	for _, m := range mutations {
		t.Run(m.name, func(t *testing.T) {
			fitted := 0
			for _, s := range []*record.Session{full(), withDuct(), withoutAgreement()} {
				Apply(s)
				for i := range s.Facts {
					spoiled := copyOf(s)
					name := nameOf(s.Facts[i].Ref)
					if !m.mutate(spoiled, i) {
						continue
					}
					fitted++
					found := Check(spoiled)
					if !hasRule(found, m.rule) {
						t.Errorf("%s: %v", name, found)
					}
					for _, f := range found {
						if f.Severity != finding.Error {
							t.Errorf("%s: %s", name, f.Text(true))
						}
					}
				}
			}
			if fitted == 0 {
				t.Error("it fits no fact")
			}
		})
	}
}

func TestAnySpoiledFactOfAnySessionIsFound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawn().Draw(t, "session")
		Apply(s)
		m := rapid.SampledFrom(mutations).Draw(t, "mutation")
		first := rapid.IntRange(0, len(s.Facts)-1).Draw(t, "fact")
		for k := range s.Facts { // the first that it fits from there on
			i := (first + k) % len(s.Facts)
			spoiled := copyOf(s)
			if !m.mutate(spoiled, i) {
				continue
			}
			if found := Check(spoiled); !hasRule(found, m.rule) {
				t.Errorf("%s, %s: %v", nameOf(s.Facts[i].Ref), m.name, found)
			}
			return
		}
		t.Skip("it fits no fact")
	})
}

// A fact that others are made from cannot change alone.
func TestAnInputChangedAloneIsFound(t *testing.T) {
	for _, change := range []struct{ about, key, value, rule string }{
		{"session", "weight", "3.1 kg at 08:00", "derived-value"},
		{"session", "loop-flow", "14 mL/min", "derived-value"},
		{"injection 1", "blood-flow", "0.588 L/min at 14:24", "derived-value"},
		{"injection 1", "exclusion-cause", "air", "derived-sources"},
		{"level ductal", "level-state", "not-seen", "label-wrong"},
		{"session", "agreement-tolerance", "3 %", "withheld-wrong"},
		{"sample 1", "haemoglobin", "13.9 g/dL at 14:00", "derived-value"},
		{"session", "life-support", "yes", "label-wrong"},
		{"catheter venous", "catheter-tip", "liver", "withheld-wrong"},
	} {
		t.Run(change.key, func(t *testing.T) {
			s := full()
			Apply(s)
			put(s, change.about, change.key, change.value)
			if found := Check(s); !hasRule(found, change.rule) {
				t.Errorf("not found by %s: %v", change.rule, found)
			}
		})
	}
}

func TestDifferencesAreToldInWords(t *testing.T) {
	s := plain()
	Apply(s)
	s.Find(record.TheSession, "blood-flow", record.Derived).Value.Quantity.Number = "0.61"
	s.Find(record.TheSession, "stroke-volume", record.Derived).Label = measure.Label{Reason: "not-assessed"}
	var said []string
	for _, f := range Check(s) {
		said = append(said, f.Text(true))
	}
	want := []string{
		`derived-value error: session blood-flow (derived) is "0.61 L/min"; from the facts it is 0.610 L/min`,
		`label-wrong error: session stroke-volume (derived) carries the label "not-determined (not-assessed)"; the table of flow labels gives Qs-LVO-RVO-Qp`,
	}
	if strings.Join(said, "\n") != strings.Join(want, "\n") {
		t.Errorf("%s\nwant\n%s", strings.Join(said, "\n"), strings.Join(want, "\n"))
	}
}

func TestADifferenceStandsWhereTheBundleHasIt(t *testing.T) {
	s := plain()
	Apply(s)
	flow := record.Ref{About: record.TheSession, Measure: "blood-flow", Origin: record.Derived}
	s.Places.Facts = map[record.Ref]finding.Place{flow: {Pointer: "/entry/4/resource"}}
	s.Find(record.TheSession, "spread", record.Derived).Value.Quantity.Number = "1.0"
	found := Check(s)
	if len(found) != 1 || found[0].Place.Pointer != "/entry/4/resource" {
		t.Errorf("%v", found)
	}
}

// Private words and values never come out of a difference.
func TestPrivateValuesStayOutOfDifferences(t *testing.T) {
	s := plain()
	Apply(s)
	s.Facts = append(s.Facts, record.Fact{Ref: record.Ref{About: record.TheSession, Measure: "sign-answer", Origin: record.Derived}, Value: record.Value{Text: "demo secret"}})
	found := Check(s)
	if len(found) != 1 || strings.Contains(found[0].Text(false), "secret") {
		t.Errorf("%v", found)
	}
}
