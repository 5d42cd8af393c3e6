package chart

import (
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// Glance is what a list of many sessions tells of each. It is empty for one that is
// cancelled or withdrawn.
type Glance struct {
	// Flow is the code of the label of the session's flow, "" where it charts none.
	Flow string
	// Withheld counts the values that have a reason in the place of a number, by the
	// reason's code.
	Withheld map[string]int
	// Relabelled counts the values of which the label says that not all four flows are
	// equal, or that it is not known which flow it is: their bare names would mislead.
	Relabelled int
}

// GlanceAt looks at a settled session.
func GlanceAt(s *record.Session) Glance {
	var g Glance
	if s.ReportStatus == record.Cancelled || s.ReportStatus == record.EnteredInError {
		return g
	}
	if flow := s.Find(record.TheSession, labelled(), record.Derived); flow != nil && !flow.Label.IsZero() {
		g.Flow = flow.Label.Code()
	}
	for i := range s.Facts {
		f := &s.Facts[i]
		if reason := f.Value.Absent.Reason; reason != "" {
			if g.Withheld == nil {
				g.Withheld = map[string]int{}
			}
			g.Withheld[reason]++
		} else if !f.Label.IsZero() && f.Label.Flows != measure.AllFlows {
			g.Relabelled++
		}
	}
	return g
}

// labelled is the measure whose value of the session carries the label that says
// which flow the number stands for.
func labelled() string { return measure.Get("flow-stands-for").In }

// Glance looks at the session of a result, if it was charted.
func (r Result) Glance() Glance {
	if r.Bundle == nil {
		return Glance{}
	}
	return GlanceAt(r.Session)
}
