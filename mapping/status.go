package mapping

import (
	"slices"

	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// Settle gives every fact of a derived session, and its report, a status. previous
// is the revision that the record accepted before, nil for a first one: what has
// changed since then is told by it, and what has vanished is added to the session,
// taken back. What Hold tells keeps a session preliminary that was verified. The
// facts come out sorted.
//
// Where a finding is an error no status is set, and Write will refuse the session.
func Settle(s, previous *record.Session) Findings {
	s.Sort()
	findings := checkRevision(s, previous)
	if findings.HasErrors() {
		return findings
	}
	switch {
	case s.Withdrawn():
		withdraw(s, previous)
	case previous == nil:
		settleFirst(s)
	default:
		settleNext(s, previous)
		s.Sort()
	}
	return findings
}

// standing is what the status of a fact, or of the report, hangs on.
type standing struct {
	withdrawn, neverMeasured bool
	curve                    bool // it was computed from a trace
	verified, held           bool
	released                 bool // the record holds it as final, amended or corrected
	added                    bool // the session was released and it was not in it
	change                   change
}

// statusRow is one row of the table of statuses.
type statusRow struct {
	when func(standing) bool
	fact record.Status
	// report is the status of the report, where it is another.
	report record.Status
}

// asBefore stands in the table for the status that the record holds.
const asBefore record.Status = "as before"

// statusRows is the table; the first row that applies counts.
//
// A released value never becomes preliminary again; final, amended and corrected
// each need a verification of the very revision, which checkRevision asks for.
var statusRows = []statusRow{
	{when: func(s standing) bool { return s.withdrawn && s.neverMeasured }, fact: record.Cancelled},
	{when: func(s standing) bool { return s.withdrawn }, fact: record.EnteredInError},
	{when: func(s standing) bool { return s.curve }, fact: record.Preliminary},
	{when: func(s standing) bool { return s.released && s.change == same }, fact: asBefore},
	{when: func(s standing) bool { return s.released && s.change == correction }, fact: record.Corrected},
	{when: func(s standing) bool { return s.released }, fact: record.Amended},
	{when: func(s standing) bool { return !s.verified }, fact: record.Preliminary, report: record.Partial},
	{when: func(s standing) bool { return s.held }, fact: record.Preliminary},
	{when: func(s standing) bool { return s.added }, fact: record.Amended},
	{when: func(standing) bool { return true }, fact: record.Final},
}

// status gives the status of a fact from the one that the record holds.
func (s standing) status(before record.Status) record.Status {
	row := s.row()
	if row.fact == asBefore {
		return before
	}
	return row.fact
}

// reportStatus is status for the report.
func (s standing) reportStatus(before record.Status) record.Status {
	if row := s.row(); row.report != "" {
		return row.report
	}
	return s.status(before)
}

func (s standing) row() statusRow {
	for _, row := range statusRows {
		if row.when(s) {
			return row
		}
	}
	return statusRow{}
}

// released tells whether the record holds something as verified and done.
func released(s record.Status) bool {
	return s == record.Final || s == record.Amended || s == record.Corrected
}

// settleFirst settles a first revision.
func settleFirst(s *record.Session) {
	s.Change = record.Change{}
	statuses, report := firstStatuses(s)
	for i, status := range statuses {
		s.Facts[i].Status = status
	}
	s.ReportStatus = report
}

// FirstStatuses gives the statuses that Settle gives the facts of a first revision, which
// are in order, and its report. It is not ok where Settle gives none.
func FirstStatuses(s *record.Session) (facts []record.Status, report record.Status, ok bool) {
	if s.Withdrawn() || checkRevision(s, nil).HasErrors() {
		return nil, "", false
	}
	facts, report = firstStatuses(s)
	return facts, report, true
}

// firstStatuses leaves a session that cannot be written its statuses; Write tells what is
// wrong.
func firstStatuses(s *record.Session) (facts []record.Status, report record.Status) {
	facts = make([]record.Status, len(s.Facts))
	list, places, err := observationsOf(s.Facts)
	if err != nil {
		for i := range s.Facts {
			facts[i] = s.Facts[i].Status
		}
		return facts, s.ReportStatus
	}
	fromCurve := recomputed(s.Facts)
	now := standing{verified: s.Verified(), held: len(Hold(s)) > 0}
	statuses := make([]record.Status, len(list))
	for i := range list {
		each := now
		each.curve = fromCurve[list[i].fact.Ref]
		statuses[i] = each.status("")
	}
	for i, place := range places {
		facts[i] = statuses[place]
	}
	return facts, now.reportStatus("")
}

// setStatus gives an Observation a status, which its components share.
func (o observed) setStatus(status record.Status) {
	o.fact.Status = status
	for _, part := range o.parts {
		part.Status = status
	}
}

// withdraw takes a session back. What the record holds stays as it is, with codes
// and labels, so that readers see what had been there; only the status changes.
func withdraw(s, previous *record.Session) {
	s.Change = record.Change{}
	if previous != nil {
		s.Change = previous.Change
		if s.Verification.By == "" {
			// Who verified before stays named: what he answered had been charted as answered.
			s.Verification = previous.Verification
		}
		s.Facts = slices.DeleteFunc(slices.Clone(previous.Facts), func(f record.Fact) bool { return f.Status.TakenBack() })
	}
	now := standing{withdrawn: true, neverMeasured: s.Withdrawal.NeverMeasured}
	takeBack(s, s.Facts, now.status(""))
	s.ReportStatus = now.reportStatus("")
}

// takeBack gives facts of a session a status of what was taken back, with the codes
// that they have in that session.
func takeBack(s *record.Session, facts []record.Fact, status record.Status) {
	codes := newCoder(s, "")
	for i := range facts {
		f := &facts[i]
		m := measure.Get(f.Measure)
		charted := codes.of(nil, f, m)
		f.Kept = codes.keptUnder(f, m, func(other []code) bool { return slices.Equal(charted, other) })
		f.Status = status
	}
}
