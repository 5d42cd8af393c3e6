package sheet

import (
	"fmt"
	"strings"

	"saltmark/internal/finding"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

func (j *judge) sessionTimes() {
	if j.s.Start != "" && j.s.End != "" && !j.s.Start.Before(j.s.End) {
		j.add("session-times", j.field("session.end"), finding.Say("{1} is {}", finding.Data("session.end")), string(j.s.End), finding.Say("it must lie after session.start, {1}", finding.Data(string(j.s.Start))))
	}
}

// shortestTold is how long an identifier must be for its standing in another text
// to be no chance.
const shortestTold = 3

// sessionIdentity keeps the patient out of the session's identifier, which stands
// in file names and logs.
func (j *judge) sessionIdentity() {
	_, literal, _ := strings.Cut(j.s.Patient.Literal, "/")
	for _, value := range []string{j.s.Patient.Value, literal} {
		if len(value) >= shortestTold && strings.Contains(strings.ToLower(j.s.ID), strings.ToLower(value)) {
			j.addHidden("session-id-names-patient", j.field("session.id"), finding.Say("{1} is {}", finding.Data("session.id")), j.s.ID,
				"it must not contain the identifier of the patient, since it stands in file names and logs")
		}
	}
}

// references judges each reference: one way of saying it, and a whole one.
func (j *judge) references() {
	for _, r := range []struct {
		path string
		ref  record.Reference
	}{{"patient", j.s.Patient}, {"encounter", j.s.Encounter}, {"session.order", j.s.Order}} {
		switch {
		case r.ref.Literal != "" && (r.ref.Value != "" || r.ref.System != ""):
			j.add("stated-twice", j.field(r.path+".reference"), finding.Say("{1} has an identifier and a literal reference", finding.Data(r.path)), "", "one of both is wanted")
		case r.ref.System != "" && r.ref.Value == "":
			j.add("reference-incomplete", j.field(r.path+".system"), finding.Say("{1} has a system without an identifier", finding.Data(r.path)), "", "an identifier is wanted beside it")
		}
	}
	keys := map[string]bool{}
	n := 0
	for _, d := range j.s.Devices {
		if d.Role != disposableRole {
			continue
		}
		path := fmt.Sprintf("loop.disposables[%d]", n)
		if keys[d.Key] {
			j.add("device-repeated", j.field(path), finding.Say("{1} is {}, which another disposable part has", finding.Data(path+".name")), d.Key, "each has a name of its own in the session")
		}
		keys[d.Key] = true
		n++
		if d.Expiry != "" && j.s.Start != "" && string(d.Expiry) < localDay(j.s.Start) {
			j.add("disposable-expired", j.field(path+".expiry"), finding.Say("{1} is {}", finding.Data(path+".expiry")), string(d.Expiry), "it lies before the session; it is charted as it stands")
		}
	}
}

// life judges revision, withdrawal and verification.
func (j *judge) life() {
	s := j.s
	if s.Revision > 1 && !s.Withdrawn() && s.Get(record.TheSession, "revision-reason") == nil && j.whole {
		j.add("revision-reason", j.field("session.revision"), "session.revision is {} and session.reason is missing", fmt.Sprint(s.Revision), "a revision above 1 has a reason")
	}
	if s.Withdrawn() && s.Withdrawal.At != "" && s.Withdrawal.At.Before(s.Start) {
		j.add("withdrawal-time", j.field("session.withdrawn.at"), finding.Say("{1} is {}", finding.Data("session.withdrawn.at")), string(s.Withdrawal.At), finding.Say("it lies after session.start, {1}", finding.Data(string(s.Start))))
	}
	if s.Verification.By == "" {
		return
	}
	if last, when := j.lastInjection(); when != "" && s.Verification.At != "" && s.Verification.At.Before(when) {
		j.add("verification-time", j.field("verified.at"), finding.Say("{1} is {}", finding.Data("verified.at")), string(s.Verification.At), finding.Say("it must not lie before injection {1} at {2}", finding.Data(last.Key), finding.Data(string(when))))
	}
	if s.Verification.Revision != s.Revision {
		j.add("verification-of-other-revision", j.field("verified.revision"), finding.Say("{1} is {}", finding.Data("verified.revision")), fmt.Sprint(s.Verification.Revision),
			finding.Say("this is revision {1}, which counts as not verified", finding.Number(s.Revision)))
	}
}

func (j *judge) lastInjection() (last record.Thing, when record.Time) {
	for _, i := range j.injections() {
		if at := j.when(i); at != "" && (when == "" || when.Before(at)) {
			last, when = i, at
		}
	}
	return last, when
}

// afterEntry are the sections whose times may lie after the entry of the sheet.
var afterEntry = []string{"confirmations", "shunt.sign-answer"}

// entry finds what was written down before it happened.
func (j *judge) entry() {
	if j.s.EnteredAt == "" {
		return
	}
	latest, called := j.s.End, finding.Data("session.end")
	for i := range j.s.Facts {
		f := &j.s.Facts[i]
		m := measure.Get(f.Measure)
		if mayFollowEntry(f, m) {
			continue
		}
		for _, t := range []record.Time{f.At, f.Value.Time} {
			if t != "" && latest.Before(t) && m.Key != "birth-date" {
				latest, called = t, j.called(f.Ref)
			}
		}
	}
	if latest != "" && j.s.EnteredAt.Before(latest) {
		j.add("time-after-entry", j.field("session.entered.at"), finding.Say("{1} is {}", finding.Data("session.entered.at")), string(j.s.EnteredAt), finding.Say("it must not lie before {1}, which it tells of", called))
	}
}

func mayFollowEntry(f *record.Fact, m *measure.Measure) bool {
	if f.About.Kind == measure.Confirmation {
		return true
	}
	for _, section := range afterEntry {
		if strings.HasPrefix(m.Sheet, section) {
			return true
		}
	}
	return false
}

// obligatory are the statements without which a measurement cannot be charted.
var obligatory = []struct {
	about   record.Thing
	measure string
	called  string
}{
	{record.TheSession, "weight", "subject.weight"},
	{record.TheSession, "loop-set", "loop"},
	{record.Thing{Kind: measure.Catheter, Key: "arterial"}, "catheter-vessel", "catheters.arterial"},
	{record.Thing{Kind: measure.Catheter, Key: "venous"}, "catheter-vessel", "catheters.venous"},
}

// present judges what must be there when something was measured.
func (j *judge) present() {
	if !j.whole || j.s.Withdrawal.NeverMeasured {
		return
	}
	for _, o := range obligatory {
		if j.s.Get(o.about, o.measure) == nil {
			j.add("sheet-incomplete", j.field(""), "the sheet has no {}", o.called, "it must be given")
		}
	}
	if len(j.injections()) == 0 {
		j.add("injections-missing", j.field(""), "the sheet has no injection", "", "at least one is wanted, or session.withdrawn with never-measured: yes")
	}
	for _, i := range j.injections() {
		if !j.excluded(i) && j.s.Get(i, "blood-flow") == nil && !j.traced[i] {
			ref := record.Ref{About: i, Measure: "injection", Origin: record.Stated}
			j.add("injection-without-flow", j.place(ref), finding.Say("{1} reports no blood-flow and names no trace", j.called(ref)), "",
				"reported.blood-flow is wanted (it may be not-shown), or a trace, or a cause of exclusion")
		}
	}
}

// earlierSessions judges the sessions of the last 24 hours.
func (j *judge) earlierSessions() {
	for _, t := range j.s.Things(measure.Earlier) {
		group := j.s.Get(t, groupOf(measure.Earlier).Key)
		if group != nil && group.At != "" && j.s.Start != "" && (!group.At.Before(j.s.Start) || j.s.Start.Sub(group.At).Hours() > 24) {
			j.add("earlier-session-time", j.place(group.Ref), finding.Say("{1} is of {}", j.called(group.Ref)), string(group.At), "it must lie within the 24 hours before session.start")
		}
		if id := j.s.Get(t, "earlier-session-id"); id != nil && id.Value.Text == j.s.ID {
			j.add("earlier-session-itself", j.place(id.Ref), finding.Say("{1} is {}", j.called(id.Ref)), id.Value.Text, "an earlier session is another one")
		}
	}
}
