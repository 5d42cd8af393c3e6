package audit

import (
	"slices"
	"strings"

	"saltmark/internal/finding"
	"saltmark/mapping"
	"saltmark/mapping/record"
)

// statusWrong: statuses follow from verification, withdrawal and what holds a
// session. Of a first revision they are settled anew and compared; what a later one
// changed is known only beside the bundle before it, so of that one only the bounds
// are told.
func (c *check) statusWrong(s *record.Session) {
	if c.off["status-wrong"] {
		return
	}
	allowed := allowedStatuses(s)
	for i := range s.Facts {
		f := &s.Facts[i]
		if at := allowed.of(i); isWrong(f.Status, at) {
			place := s.Places.Of(f.Ref)
			if place == (finding.Place{}) || strings.Contains(place.Pointer, "/component/") {
				continue // it shares the status of what it stands in
			}
			c.tellStatus(f.Status, at, place)
		}
	}
	for _, r := range c.resources {
		if r.kind == "DiagnosticReport" && r.ours && isWrong(s.ReportStatus, allowed.report) {
			c.tellStatus(s.ReportStatus, allowed.report, c.docs.Place(r.node.Get("status"), r.at("/status")))
		}
	}
}

func isWrong(status record.Status, allowed []record.Status) bool {
	return len(allowed) > 0 && !slices.Contains(allowed, status)
}

func (c *check) tellStatus(status record.Status, allowed []record.Status, place finding.Place) {
	words := make([]string, len(allowed))
	for i, a := range allowed {
		words[i] = string(a)
	}
	c.add(finding.List{finding.New("status-wrong", place, "the status is {}", string(status), finding.Say("in this session it is {1}", finding.Or(finding.Datas(words)...)))})
}

// statuses are those that the facts of a session, and its report, may have; none stands
// for any.
type statuses struct {
	all    []record.Status // of every fact
	each   []record.Status // or the one of each
	report []record.Status
}

func (s *statuses) of(fact int) []record.Status {
	if s.each != nil {
		return s.each[fact : fact+1]
	}
	return s.all
}

func allowedStatuses(s *record.Session) statuses {
	switch {
	case s.Withdrawn() && s.Withdrawal.NeverMeasured:
		return statuses{all: []record.Status{record.Cancelled}, report: []record.Status{record.Cancelled}}
	case s.Withdrawn():
		return statuses{all: []record.Status{record.EnteredInError}, report: []record.Status{record.EnteredInError}}
	case s.Revision == 1:
		if each, report, ok := mapping.FirstStatuses(s); ok {
			return statuses{each: each, report: []record.Status{report}}
		}
	case !s.Verified():
		return statuses{all: []record.Status{record.Preliminary, record.EnteredInError}, report: []record.Status{record.Partial}}
	}
	return statuses{}
}
