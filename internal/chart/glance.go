package chart

import (
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// labelled is the measure whose value of the session carries the label that says
// which flow the number stands for.
func labelled() string { return measure.Get("flow-stands-for").In }

// Flow gives the code of the label of the session's flow, "" where the session
// charts none.
func (r Result) Flow() string {
	if !r.stands() {
		return ""
	}
	if flow := r.Session.Find(record.TheSession, labelled(), record.Derived); flow != nil && !flow.Label.IsZero() {
		return flow.Label.Code()
	}
	return ""
}

// Withheld counts the values of the session that have a reason in the place of a
// number, by the reason's code.
func (r Result) Withheld() map[string]int {
	if !r.stands() {
		return nil
	}
	var n map[string]int
	for i := range r.Session.Facts {
		if reason := r.Session.Facts[i].Value.Absent.Reason; reason != "" {
			if n == nil {
				n = map[string]int{}
			}
			n[reason]++
		}
	}
	return n
}

// stands tells whether the result is a session that stands: charted, and neither
// cancelled nor withdrawn.
func (r Result) stands() bool {
	return r.Bundle != nil && r.Session.ReportStatus != record.Cancelled && r.Session.ReportStatus != record.EnteredInError
}
