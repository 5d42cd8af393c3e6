package mapping

import (
	"saltmark/internal/finding"
	"saltmark/mapping/record"
)

// Refuse tells what stands against writing a settled session under options: what the
// settings of a site ask for and this session cannot give. Write refuses the same.
func Refuse(s *record.Session, o Options) Findings {
	o = o.complete()
	var list Findings
	for _, row := range refusals {
		if row.when(s, o) {
			list = append(list, finding.New(row.rule, s.Places.Fields[row.field], row.found, "", row.allowed))
		}
	}
	return list
}

// refusals is the table. The values, which may tell of a person, are not shown.
var refusals = []struct {
	rule, field    string
	found, allowed finding.Text
	when           func(s *record.Session, o Options) bool
}{
	{
		"create-once-revision", "session.revision", "the session is a later revision, and the write mode is create-once", "a server that has the session would keep what it has; write revisions in another mode",
		func(s *record.Session, o Options) bool { return once(o) && s.Revision > 1 },
	},
	{
		"create-once-revision", "session.withdrawn.by", "the session is withdrawn, and the write mode is create-once", "a server that has the session would keep what it has; withdraw in another mode",
		func(s *record.Session, o Options) bool { return once(o) && s.Withdrawn() && s.Revision == 1 },
	},
	{
		"create-once-unfinished", "session.id", "nobody has verified the session, and the write mode is create-once", "what is created once can never be made final; verify it first, or write it in another mode",
		func(s *record.Session, o Options) bool { return once(o) && !s.Withdrawn() && !s.Verified() },
	},
	{
		"create-once-unfinished", "verified.by", "the session is held preliminary, and the write mode is create-once", "what is created once can never be made final; settle what holds it first, or write it in another mode",
		func(s *record.Session, o Options) bool {
			return once(o) && !s.Withdrawn() && s.Verified() && s.ReportStatus == record.Preliminary
		},
	},
	{
		"reference-not-literal", "patient.identifier", "the patient is not stated by a literal reference, and the write subject is literal", "a reference such as Patient/123, or another way to refer to the patient in the settings",
		func(s *record.Session, o Options) bool { return o.Subject == Literal && lacksLiteral(s.Patient) },
	},
	{
		"reference-not-literal", "encounter.identifier", "the encounter is not stated by a literal reference, and the write encounter is literal", "a reference such as Encounter/123, or another way to refer to the encounter in the settings",
		func(s *record.Session, o Options) bool { return o.Encounter == Literal && lacksLiteral(s.Encounter) },
	},
	{
		"recomputed-without-injections", "session.id", "the flow was recomputed from curves, and single injections are left out", "a recomputed flow is written with the injections that it was computed of: injections separate in the settings",
		func(s *record.Session, o Options) bool {
			return o.Injections == InjectionsNone && !s.Withdrawn() && s.Code(record.TheSession, besideKey) == onlyRecomputed
		},
	},
}

// once tells whether a server is asked to create what it lacks and to change nothing.
func once(o Options) bool { return o.Form == Transaction && o.Mode == CreateOnce }

func lacksLiteral(r record.Reference) bool { return !r.IsZero() && r.Literal == "" }
