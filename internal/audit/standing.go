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
	allowed := c.allowedStatuses(s)
	for i := range s.Facts {
		f := &s.Facts[i]
		if at := allowed[f.Ref]; isWrong(string(f.Status), at) {
			place := s.Places.Of(f.Ref)
			if place == (finding.Place{}) || strings.Contains(place.Pointer, "/component/") {
				continue // it shares the status of what it stands in
			}
			c.tellStatus(string(f.Status), at, place)
		}
	}
	for _, r := range c.resources {
		if at := allowed[record.Ref{}]; r.kind == "DiagnosticReport" && r.ours && isWrong(string(s.ReportStatus), at) {
			c.tellStatus(string(s.ReportStatus), at, c.docs.Place(r.node.Get("status"), r.at("/status")))
		}
	}
}

func isWrong(status string, allowed []string) bool {
	return len(allowed) > 0 && !slices.Contains(allowed, status)
}

func (c *check) tellStatus(status string, allowed []string, place finding.Place) {
	c.add(finding.List{finding.New("status-wrong", place, "the status is {}", status, finding.Say("in this session it is {1}", finding.Or(finding.Datas(allowed)...)))})
}

// allowedStatuses gives the statuses that each Observation may have; the report's
// stand under no fact. One that is not there may have any.
func (c *check) allowedStatuses(s *record.Session) map[record.Ref][]string {
	allowed := make(map[record.Ref][]string, len(s.Facts)+1)
	all := func(report string, statuses ...record.Status) {
		words := make([]string, len(statuses))
		for i, status := range statuses {
			words[i] = string(status)
		}
		for i := range s.Facts {
			allowed[s.Facts[i].Ref] = words
		}
		allowed[record.Ref{}] = []string{report}
	}
	switch {
	case s.Withdrawn() && s.Withdrawal.NeverMeasured:
		all(string(record.Cancelled), record.Cancelled)
	case s.Withdrawn():
		all(string(record.EnteredInError), record.EnteredInError)
	case s.Revision == 1:
		anew := *s
		anew.Facts = slices.Clone(s.Facts)
		if mapping.Settle(&anew, nil).HasErrors() {
			return nil
		}
		for i := range anew.Facts {
			allowed[anew.Facts[i].Ref] = []string{string(anew.Facts[i].Status)}
		}
		allowed[record.Ref{}] = []string{string(anew.ReportStatus)}
	case !s.Verified():
		all(string(record.Partial), record.Preliminary, record.EnteredInError)
	}
	return allowed
}
