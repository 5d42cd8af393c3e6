package mapping_test

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saltmark/mapping"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// digestIn gives the digest that a text carries.
func digestIn(t interface{ Fatal(...any) }, text []byte) string {
	_, after, found := strings.Cut(string(text), mapping.FactsHashSystem+`"`)
	_, after, valued := strings.Cut(after, `"value"`)
	if !found || !valued {
		t.Fatal("the text carries no digest")
	}
	return strings.Split(after, `"`)[1]
}

// What is read back has the digest that was written, whatever form and options leave
// out or fill in.
func TestLawTheDigestIsThatOfWhatIsReadBack(t *testing.T) {
	all := ways()
	rapid.Check(t, func(t *rapid.T) {
		o, s := rapid.SampledFrom(all).Draw(t, "way"), randomSession(t)
		o.Curves, o.Comparators = rapid.Bool().Draw(t, "curves"), rapid.Bool().Draw(t, "comparators")
		o.SourceHash, o.TableHash = rapid.StringMatching(`[0-9a-f]{0,4}`).Draw(t, "sheet"), "ab"
		if rapid.Bool().Draw(t, "without injections") {
			o.Injections = mapping.InjectionsNone
		}
		if rapid.Bool().Draw(t, "no system") {
			s.Patient.System, s.Encounter.System = "", ""
		}
		if rapid.Bool().Draw(t, "withdrawn") {
			s.Withdrawal = record.Withdrawal{By: "demo-person-1", At: "2031-05-04T08:00:00Z", Reason: "wrong\tsheet"}
		}
		mapping.Settle(s, nil)
		if mapping.Refuse(s, o).HasErrors() {
			return
		}
		text := write(t, s, o)
		back, findings := mapping.Read("session", text)
		if findings.HasErrors() {
			t.Skip(findings[0].Text(true))
		}
		if got, want := mapping.Digest(back, o), digestIn(t, text); got != want {
			t.Fatalf("%s: read back it is %s, written %s\n%s", wayName(o), got, want, text)
		}
	})
}

func TestTheDigestChangesWithWhateverASessionStates(t *testing.T) {
	injection := record.Thing{Kind: measure.Injection, Key: "1"}
	of := func(change func(*record.Session)) string {
		s := settled(t, plain(), nil)
		s.Facts = append(s.Facts, record.Fact{Ref: record.Ref{About: injection, Measure: "arterial-trace", Origin: record.Reported}, Status: record.Final,
			Value: record.Value{Curve: &record.Curve{Data: "1 2 3", Period: "10", Start: s.Start, FileHash: "ab"}}})
		change(s)
		return mapping.Digest(s, mapping.Options{SourceHash: "a", SettingsHash: "b"})
	}
	last := func(s *record.Session) *record.Fact { return &s.Facts[len(s.Facts)-1] }
	seen := map[string]string{of(func(*record.Session) {}): "nothing"}
	for what, change := range map[string]func(*record.Session){
		"session":       func(s *record.Session) { s.ID += "a" },
		"revision":      func(s *record.Session) { s.Revision++ },
		"test":          func(s *record.Session) { s.Test = !s.Test },
		"start":         func(s *record.Session) { s.Start = "2031-05-03" },
		"patient":       func(s *record.Session) { s.Patient.Value += "1" },
		"patient's tab": func(s *record.Session) { s.Patient.System += "\t" + s.Patient.Value; s.Patient.Value = "" },
		"encounter":     func(s *record.Session) { s.Encounter.Literal = "Encounter/1" },
		"order":         func(s *record.Session) { s.Order.Value = "1" },
		"operator":      func(s *record.Session) { s.Operator = "somebody" },
		"entry":         func(s *record.Session) { s.EnteredBy = "somebody" },
		"verification":  func(s *record.Session) { s.Verification.At = "2031-05-03T23:00:00Z" },
		"withdrawal":    func(s *record.Session) { s.Withdrawal = record.Withdrawal{By: "x"} },
		"change":        func(s *record.Session) { s.Change = record.Change{Revision: 1} },
		"flow before":   func(s *record.Session) { s.Change = record.Change{Revision: 1, Flow: record.Quantity{Number: "1"}} },
		"device":        func(s *record.Session) { s.Devices = append(s.Devices, record.Device{Role: "loop"}) },
		"report":        func(s *record.Session) { s.ReportStatus = record.Amended },
		"fact left out": func(s *record.Session) { s.Facts = s.Facts[:len(s.Facts)-1] },
		"status":        func(s *record.Session) { last(s).Status = record.Amended },
		"label":         func(s *record.Session) { last(s).Label = measure.Label{Part: true} },
		"time":          func(s *record.Session) { last(s).At = "2031-05-03" },
		"method":        func(s *record.Session) { last(s).Method = "echo" },
		"obtained":      func(s *record.Session) { last(s).Obtained = "measured" },
		"from":          func(s *record.Session) { last(s).From = []record.Ref{s.Facts[0].Ref} },
		"sample":        func(s *record.Session) { last(s).Value.Curve.Data = "1 2" },
		"curve's file":  func(s *record.Session) { last(s).Value.Curve.FileHash = "ac" },
		"curve's end":   func(s *record.Session) { last(s).Value.Curve.End = "2031-05-03" },
		"quantity":      func(s *record.Session) { last(s).Value = record.Value{Quantity: record.Quantity{Number: "1"}} },
		"trailing zero": func(s *record.Session) { last(s).Value = record.Value{Quantity: record.Quantity{Number: "1.0"}} },
		"code":          func(s *record.Session) { last(s).Value = record.Value{Code: "1"} },
		"text":          func(s *record.Session) { last(s).Value = record.Value{Text: "1"} },
		"absence":       func(s *record.Session) { last(s).Value = record.Value{Absent: record.Absence{Reason: "1"}} },
	} {
		sum := of(change)
		if other, twice := seen[sum]; twice {
			t.Errorf("%s and %s have one digest", what, other)
		}
		seen[sum] = what
	}
	if mapping.Digest(plain(), mapping.Options{SourceHash: "a"}) == mapping.Digest(plain(), mapping.Options{SettingsHash: "a"}) {
		t.Error("it does not matter which hash is which")
	}
}
