package mapping

import (
	"cmp"
	"slices"

	"saltmark/internal/finding"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// checkRevision holds a revision against the one before.
func checkRevision(s, previous *record.Session) Findings {
	var list Findings
	if previous == nil {
		if s.Revision > 1 {
			list = append(list, finding.New("revision-without-previous", s.Places.Fields["session.revision"],
				"this is a later revision, and the bundle that the record accepted before is not at hand", "", "it is wanted, since statuses and vanished values follow from it; saltmark chart takes it by --previous"))
		}
		return list
	}
	for _, r := range revisionRules {
		if r.broken(s, previous) {
			place := cmp.Or(s.Places.Fields[r.field], s.Places.Fields["session.revision"]) // what is left out has none
			list = append(list, finding.New(r.rule, place, r.found, "", r.allowed))
		}
	}
	return list
}

// revisionRules are what no revision may do. The values, which may tell of a person,
// are not shown.
var revisionRules = []struct {
	rule, field    string
	found, allowed finding.Text
	broken         func(s, previous *record.Session) bool
}{
	{
		"revision-other-session", "session.id", "the revision before is of another session", "one identifier for all revisions",
		func(s, p *record.Session) bool { return s.ID != p.ID },
	},
	{
		"revision-step", "session.revision", "the revision does not follow the one before", "the number of the revision before, plus one",
		func(s, p *record.Session) bool { return s.Revision != p.Revision+1 },
	},
	{
		"revision-other-patient", "patient.identifier", "the patient is another than in the revision before", "withdraw the session and file it under a new identifier",
		func(s, p *record.Session) bool { return !samePatient(s.Patient, p.Patient) },
	},
	{
		"revision-other-label", "session.test", "one of this revision and the one before is test data, and the other is not", "the same session.test in all revisions",
		func(s, p *record.Session) bool { return s.Test != p.Test },
	},
	{
		"revision-other-date", "session.start", "the date is another than in the revision before", "withdraw the session and file it under a new identifier",
		func(s, p *record.Session) bool { return day(s.Start) != day(p.Start) },
	},
	{
		"revision-after-withdrawal", "session.revision", "the session was withdrawn in the revision before", "file it under a new identifier",
		func(_, p *record.Session) bool { return p.Withdrawn() },
	},
	{
		"revision-unverified", "session.revision", "the revision before was verified, and this one is not", "the verification of this very revision",
		func(s, p *record.Session) bool { return p.Verified() && !s.Verified() && !s.Withdrawn() },
	},
}

// samePatient compares references; a system that one of them leaves open counts as
// the same.
func samePatient(a, b record.Reference) bool {
	if a.System == "" || b.System == "" {
		a.System, b.System = "", ""
	}
	return a == b
}

// day gives the date on which something was, as it was written.
func day(t record.Time) string { return string(t[:min(len(t), len("2006-01-02"))]) }

// change tells how a value differs from the one that the record holds.
type change uint8

const (
	same       change = iota
	amendment         // added, left out, or changed in something else than its number
	correction        // another number or another label, or made from such
)

// settleNext settles a revision against the one that the record accepted before.
func settleNext(s, previous *record.Session) {
	s.Facts = slices.DeleteFunc(s.Facts, func(f record.Fact) bool { return f.Status.TakenBack() })
	previous = inOrderOfFacts(previous)
	c := newComparison(s, previous)
	now := standing{verified: s.Verified(), held: len(Hold(s)) > 0}
	report := now
	report.released, report.change = released(previous.ReportStatus), c.whole
	fromCurve := recomputed(s.Facts)
	for _, o := range c.list {
		f, each := o.fact, now
		before, known := c.before[f.Ref]
		each.curve = fromCurve[f.Ref]
		each.change = c.changes[f.Ref]
		each.added = report.released && !known && !c.unseen(o)
		if known {
			each.released = released(before.fact.Status)
		}
		if f.Ref == panelRef {
			each.released, each.change = report.released, report.change
		}
		o.setStatus(each.status(statusBefore(before, previous, f.Ref)))
	}
	s.ReportStatus = report.reportStatus(previous.ReportStatus)
	s.Change = report.changeOf(s, previous)
	gone := c.vanished(previous)
	keepMethods(gone, codesStated(standingSession(previous).Facts), codesStated(s.Facts))
	s.Facts = append(s.Facts, gone...)
}

// changeOf tells what a revision changes in a session that was released: one that
// changes nothing leaves the last change as it was.
func (r standing) changeOf(s, previous *record.Session) record.Change {
	switch {
	case !r.released:
		return record.Change{}
	case r.change == same:
		return previous.Change
	}
	change := record.Change{Revision: s.Revision}
	was, is := sessionFlow(previous), sessionFlow(s)
	if was == nil || was.Value.Quantity.Number == "" {
		return change
	}
	if is == nil || is.Value.Quantity != was.Value.Quantity || is.Label != was.Label {
		change.Flow, change.Label = was.Value.Quantity, was.Label
	}
	return change
}

func statusBefore(before observed, previous *record.Session, r record.Ref) record.Status {
	switch {
	case before.fact != nil:
		return before.fact.Status
	case r == panelRef:
		return previous.ReportStatus
	}
	return ""
}

// comparison is a session beside the one that the record holds.
type comparison struct {
	list    []observed
	before  map[record.Ref]observed // without what was taken back
	parts   [comparators + 1]bool   // parts that the record holds something of
	changes map[record.Ref]change
	whole   change // the gravest change of all, what vanished included
}

func newComparison(s, previous *record.Session) *comparison {
	c := &comparison{before: map[record.Ref]observed{}, changes: map[record.Ref]change{}}
	c.list, _ = observations(s.Facts) // Write tells what is wrong
	old, _ := observations(previous.Facts)
	for _, o := range old {
		c.parts[partOf(o.fact.About, o.row)] = true
		if !o.fact.Status.TakenBack() {
			c.before[o.fact.Ref] = o
		}
	}
	now := make(map[record.Ref]bool, len(c.list))
	codes, codesBefore := newCoder(s, ""), newCoder(previous, "")
	for _, o := range inOrder(c.list) {
		now[o.fact.Ref] = true
		if c.unseen(o) {
			continue
		}
		d := amendment
		if before, known := c.before[o.fact.Ref]; known {
			d = max(differFact(o.fact, before.fact), differLists(o.parts, before.parts))
			if !slices.Equal(codes.of(nil, o.fact, o.row), codesBefore.of(nil, before.fact, o.row)) {
				d = correction
			}
		}
		for _, from := range o.fact.From {
			if c.changes[from] == correction {
				d = correction
			}
		}
		c.changes[o.fact.Ref] = d
		c.whole = max(c.whole, d)
	}
	for ref := range c.before {
		if !now[ref] {
			c.whole = correction
		}
	}
	return c
}

// unseen tells that an Observation is of a part that a bundle may leave out, and of
// which the record holds nothing: whether it is new cannot be told.
func (c *comparison) unseen(o observed) bool {
	p := partOf(o.fact.About, o.row)
	return p != always && !c.parts[p]
}

// differFact compares a fact with the one that the record holds.
func differFact(now, before *record.Fact) change {
	switch {
	case now.Label != before.Label || differNumber(now.Value, before.Value):
		return correction
	case now.Value.Code != before.Value.Code, now.Value.Text != before.Value.Text, now.Value.Time != before.Value.Time,
		now.At != before.At, now.Method != before.Method, now.Obtained != before.Obtained, !slices.Equal(now.From, before.From):
		return amendment
	}
	return same
}

// differNumber compares what a reader takes for the number: the quantity, the curve,
// or that there is none.
func differNumber(a, b record.Value) bool {
	if (a.Curve == nil) != (b.Curve == nil) || a.Curve != nil && *a.Curve != *b.Curve {
		return true
	}
	return a.Quantity != b.Quantity || a.Absent != b.Absent
}

// differLists compares components.
func differLists(now, before []*record.Fact) change {
	d := same
	if len(now) != len(before) {
		d = amendment
	}
	old := make(map[record.Ref]*record.Fact, len(before))
	for _, f := range before {
		old[f.Ref] = f
	}
	for _, f := range now {
		if was := old[f.Ref]; was != nil {
			d = max(d, differFact(f, was))
		} else {
			d = max(d, amendment)
		}
	}
	return d
}

// keepMethods says the method of what was taken back as it went without saying in
// the revision before, where it does so no more.
func keepMethods(gone []record.Fact, before, now statedCodes) {
	for i := range gone {
		f := &gone[i]
		m := measure.Get(f.Measure)
		method := cmp.Or(f.Method, before.usualMethod(f, m))
		if f.Method = method; method == now.usualMethod(f, m) {
			f.Method = ""
		}
	}
}

// vanished gives the facts that the record holds and the session does not, taken
// back, with the codes and labels under which the record holds them. A component
// that the session has elsewhere has not vanished.
func (c *comparison) vanished(previous *record.Session) []record.Fact {
	now := map[record.Ref]bool{}
	for _, o := range c.list {
		now[o.fact.Ref] = true
		for _, part := range o.parts {
			now[part.Ref] = true
		}
	}
	var facts []record.Fact
	old, _ := observations(previous.Facts)
	for _, o := range old {
		if now[o.fact.Ref] || o.fact.Status.TakenBack() {
			continue
		}
		facts = append(facts, *o.fact)
		for _, part := range o.parts {
			if !now[part.Ref] {
				facts = append(facts, *part)
			}
		}
	}
	takeBack(previous, facts, record.EnteredInError)
	return facts
}
