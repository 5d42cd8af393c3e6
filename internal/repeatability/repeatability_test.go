package repeatability_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saltmark/internal/finding"
	"saltmark/internal/repeatability"
	"saltmark/internal/ucum"
	"saltmark/mapping"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// session makes one with an injection for each flow, L/min; "-" is a flow not shown.
func session(id string, change func(*record.Session), flows ...string) *record.Session {
	s := &record.Session{
		ID: id, Revision: 1, Test: true, Start: "2031-05-03T14:00:00+02:00",
		Patient:      record.Reference{System: "urn:demo", Value: "of-" + id},
		Verification: record.Verification{By: "demo-person-1", At: "2031-05-03T15:00:00+02:00", Revision: 1},
	}
	for i, flow := range flows {
		at := thing(i + 1)
		when := record.Time(fmt.Sprintf("2031-05-03T14:%02d:00+02:00", 10+4*i))
		f := record.Fact{Ref: record.Ref{About: at, Measure: "blood-flow", Origin: record.Reported}, At: when}
		if f.Value.Quantity = (ucum.Quantity{Number: flow, Unit: "L/min"}); flow == "-" {
			f.Value = record.Value{Absent: record.Absence{Reason: "not-shown"}}
		}
		s.Facts = append(s.Facts, record.Fact{Ref: record.Ref{About: at, Measure: "injection", Origin: record.Stated}, At: when}, f)
	}
	if change != nil {
		change(s)
	}
	return s
}

func thing(injection int) record.Thing {
	return record.Thing{Kind: measure.Injection, Key: fmt.Sprint(injection)}
}

// state adds a coded fact about an injection.
func state(s *record.Session, injection int, key, code string) {
	s.Facts = append(s.Facts, record.Fact{Ref: record.Ref{About: thing(injection), Measure: key, Origin: record.Stated}, Value: record.Value{Code: code}})
}

// pool gives what sessions come to.
func pool(o repeatability.Options, sessions ...*record.Session) (*repeatability.Result, error) {
	p := repeatability.New(o)
	for _, s := range sessions {
		p.Add("", mapping.Reading{Session: s})
	}
	return p.Result()
}

// left gives what a result says was left out: reason and names.
func left(r *repeatability.Result) map[string]string {
	told := map[string]string{}
	for _, l := range r.LeftOut {
		told[l.Reason] = strings.Join(l.Names, " ")
	}
	return told
}

func TestOnlyTechnicallyValidInjectionsCount(t *testing.T) {
	excluded := func(s *record.Session) { state(s, 3, "exclusion-cause", "air") }
	takenBack := func(s *record.Session) {
		for i := range s.Facts {
			if s.Facts[i].About == thing(3) {
				s.Facts[i].Status = record.EnteredInError
			}
		}
	}
	for _, c := range []struct {
		name              string
		s                 *record.Session
		injections, freed int
		excluded, unshown int
	}{
		{"two that agree", session("a", nil, "0.60", "0.62"), 2, 1, 0, 0},
		{"three that do not agree", session("a", nil, "0.60", "0.80", "1.10"), 3, 2, 0, 0},
		{"one excluded", session("a", excluded, "0.60", "0.62", "9"), 2, 1, 1, 0},
		{"one taken back", session("a", takenBack, "0.60", "0.62", "9"), 2, 1, 0, 0},
		{"one not shown", session("a", nil, "0.60", "0.62", "-"), 2, 1, 0, 1},
	} {
		r, err := pool(repeatability.Options{}, c.s)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		n := 0
		for _, e := range r.Excluded {
			n += e.N
		}
		if got, want := []int{r.Injections, r.Variation.Freedom, n, r.Unshown}, []int{c.injections, c.freed, c.excluded, c.unshown}; !slices.Equal(got, want) {
			t.Errorf("%s: injections, freedom, excluded, not shown %v, want %v", c.name, got, want)
		}
	}
}

func TestEachReasonLeavesASessionOut(t *testing.T) {
	good := session("good", nil, "0.60", "0.62")
	one := func(change func(*record.Session)) []*record.Session {
		return []*record.Session{good, session("x", change, "0.6", "0.7")}
	}
	revised := func(s *record.Session) { s.Revision, s.Verification.Revision = 2, 2 }
	for _, c := range []struct {
		reason   string
		options  repeatability.Options
		sessions []*record.Session
		names    string
	}{
		{"withdrawn", repeatability.Options{}, one(func(s *record.Session) { s.Withdrawal.By = "demo-person-1" }), "x"},
		{"not-verified", repeatability.Options{Verified: true}, one(func(s *record.Session) { s.Verification = record.Verification{} }), "x"},
		{"test-or-patient", repeatability.Options{Test: "yes"}, one(func(s *record.Session) { s.Test = false }), "x"},
		{"test-or-patient", repeatability.Options{Test: "no"}, one(func(s *record.Session) { s.Test = false }), "good"},
		{"two-states", repeatability.Options{}, one(func(s *record.Session) { state(s, 2, "treatment-changed", "yes") }), "x"},
		{"two-states", repeatability.Options{}, one(func(s *record.Session) {
			s.Facts = append(s.Facts, record.Fact{Ref: record.Ref{Measure: "injection-gap-limit", Origin: record.Setting, About: record.TheSession}, Value: record.Value{Quantity: ucum.Quantity{Number: "3", Unit: "min"}}})
		}), "x"},
		{"fewer-than-two", repeatability.Options{}, []*record.Session{good, session("x", nil, "0.6")}, "x"},
		{"fewer-than-two", repeatability.Options{Values: record.Reported}, []*record.Session{good, session("x", nil, "0.6", "-")}, "x"},
		{"earlier-revision", repeatability.Options{}, append(one(nil), session("x", revised, "0.6", "0.65")), "x"},
		{"earlier-revision", repeatability.Options{}, []*record.Session{good, session("x", revised, "0.6", "0.65"), session("x", nil, "0.6", "0.7")}, "x"},
		{"repeated", repeatability.Options{}, append(one(nil), one(nil)[1]), "x"},
		{"documents-differ", repeatability.Options{}, append(one(nil), session("x", nil, "0.6", "0.71")), "x"},
		{"not-chosen", repeatability.Options{Only: map[string]string{"monitor": "m"}}, []*record.Session{
			session("good", func(s *record.Session) {
				s.Devices = []record.Device{{Role: "loop", Key: "m"}, {Role: "monitor", Key: "m"}}
			}, "0.6", "0.61"),
			session("x", func(s *record.Session) { s.Devices = []record.Device{{Role: "monitor", Key: "n"}} }, "0.6", "0.61"),
		}, "x"},
		{"injections-not-in-bundle", repeatability.Options{}, []*record.Session{good, session("x", func(s *record.Session) {
			s.Facts = []record.Fact{{Ref: record.Ref{About: record.TheSession, Measure: "agreement", Origin: record.Derived}, Value: record.Value{Code: "agreeing"}}}
		})}, "x"},
	} {
		r, err := pool(c.options, c.sessions...)
		if err != nil {
			t.Errorf("%s: %v", c.reason, err)
			continue
		}
		if diff := cmp.Diff(map[string]string{c.reason: c.names}, left(r)); diff != "" {
			t.Errorf("%s: left out (- want, + got)\n%s", c.reason, diff)
		}
	}
}

func TestALaterRevisionSettlesTwoDocumentsThatDiffer(t *testing.T) {
	revised := func(s *record.Session) { s.Revision = 2 }
	r, err := pool(repeatability.Options{}, session("x", nil, "0.6", "0.7"), session("x", nil, "0.6", "0.71"), session("x", revised, "0.6", "0.65"))
	if err != nil {
		t.Fatal(err)
	}
	if r.HasFaults() || r.Sessions != 1 || r.Unverified != 1 {
		t.Errorf("got %+v", r)
	}
}

// Invented numbers in the settings of a ward would make a precision that is no one's.
func TestTestSessionsAreNeverPooledWithThoseOfPatients(t *testing.T) {
	real := session("b", func(s *record.Session) { s.Test = false }, "0.6", "0.62")
	r, err := pool(repeatability.Options{}, session("a", nil, "0.6", "0.62"), real)
	if !errors.Is(err, repeatability.ErrMixed) || r.Sessions != 0 {
		t.Errorf("got %+v, %v", r, err)
	}
	if r, err = pool(repeatability.Options{Test: "no"}, session("a", nil, "0.6", "0.62"), real); err != nil || r.Test || r.Sessions != 1 {
		t.Errorf("with a choice: %+v, %v", r, err)
	}
}

func TestWithoutASessionThatCountsThereIsNoFigure(t *testing.T) {
	if _, err := pool(repeatability.Options{}); err == nil {
		t.Error("of nothing: no error")
	}
	r, err := pool(repeatability.Options{}, session("a", nil, "0.6"))
	if err == nil || left(r)["fewer-than-two"] != "a" {
		t.Errorf("of one injection: %v, %v", left(r), err)
	}
}

func TestTheOrderOfTheDocumentsChangesNothing(t *testing.T) {
	var sessions []*record.Session
	for i := range 9 {
		sessions = append(sessions, session(fmt.Sprint("s-", i), nil, fmt.Sprint("0.6", i), fmt.Sprint("0.6", 9-i), "0.7"))
	}
	sessions = append(sessions, session("s-3", func(s *record.Session) { s.Revision = 2 }, "1.1", "1.2"))
	told := map[string]bool{}
	for seed := range uint64(8) {
		rand.New(rand.NewPCG(seed, 0)).Shuffle(len(sessions), func(i, j int) { sessions[i], sessions[j] = sessions[j], sessions[i] })
		r, err := pool(repeatability.Options{By: "unit"}, sessions...)
		if err != nil {
			t.Fatal(err)
		}
		var b strings.Builder
		if err := r.WriteJSON(&b); err != nil {
			t.Fatal(err)
		}
		told[b.String()] = true
	}
	if len(told) != 1 {
		t.Errorf("%d different results", len(told))
	}
}

func TestAGroupWithoutAFigureDoesNotStopTheOthers(t *testing.T) {
	of := func(unit string) func(*record.Session) {
		return func(s *record.Session) {
			s.Facts = append(s.Facts, record.Fact{Ref: record.Ref{About: record.TheSession, Measure: "care-unit", Origin: record.Stated}, Value: record.Value{Text: unit}})
		}
	}
	sessions := []*record.Session{session("wild", of("one"), "0.1", "9")}
	for i := range 40 {
		sessions = append(sessions, session(fmt.Sprint("s-", i), of("other\u202e"), "0.61", "0.6"))
	}
	r, err := pool(repeatability.Options{By: "unit"}, sessions...)
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Groups) != 2 || r.Groups[0].Problem == nil || r.Groups[1].Problem != nil {
		t.Errorf("got %+v", r.Groups)
	}
	var text, json strings.Builder
	if err := errors.Join(r.WriteText(&text), r.WriteJSON(&json)); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"one: no figure", `other\u202e: 1.`, "wild, 2 injections"} {
		if !strings.Contains(text.String(), want) {
			t.Errorf("the text lacks %q:\n%s", want, text.String())
		}
	}
	if !strings.Contains(json.String(), `"problem": "the replicates vary so much`) || strings.Contains(json.String(), "\u202e") {
		t.Errorf("the JSON is %s", json.String())
	}
}

func TestAVariationOfNoughtIsNoSetting(t *testing.T) {
	r, err := pool(repeatability.Options{}, session("a", nil, "0.6", "0.6"), session("b", nil, "0.7", "0.7"))
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	if err := r.WriteSettings(&b); err == nil || b.Len() > 0 {
		t.Errorf("%v, written %q", err, b.String())
	}
	if err := r.WriteText(&b); err != nil || !strings.Contains(b.String(), "are alike") {
		t.Errorf("%v: %s", err, b.String())
	}
}

// Every form of a session tells the same of it.
func TestAllFormsOfASessionAreOneSession(t *testing.T) {
	p := repeatability.New(repeatability.Options{})
	documents := 0
	err := filepath.WalkDir("../../testdata/forms", func(name string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.Contains(filepath.Ext(name), "json") {
			return err
		}
		text, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		s, found := mapping.Read(name, text)
		documents++
		if found := p.Add(name, mapping.Reading{Session: s, Findings: found}); found.HasErrors() {
			t.Errorf("%s: %v", name, found)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	r, err := p.Result()
	if err != nil {
		t.Fatal(err)
	}
	if documents < 6 || r.HasFaults() || r.Sessions >= documents {
		t.Errorf("%d documents, %d sessions, left out %v", documents, r.Sessions, left(r))
	}
}

func TestADocumentAtFaultIsToldOf(t *testing.T) {
	p := repeatability.New(repeatability.Options{})
	found := p.Add("odd.json", mapping.Reading{Findings: finding.List{finding.New("session-missing", finding.Place{File: "odd.json"}, "no resource carries an identity of a measurement session", "", "")}})
	if !found.HasErrors() {
		t.Error("no finding")
	}
	if r, _ := p.Result(); left(r)["unreadable"] != "odd.json" || !r.HasFaults() {
		t.Errorf("left out: %v", left(r))
	}
}
