package derive

import (
	"slices"

	"saltmark/internal/dilution"
	"saltmark/internal/finding"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// What follows from a fault of a recording, of the set "recording-fault".
const (
	faultNoted    = "noted"
	faultDoubtful = "doubtful"
	faultSpoilt   = "spoilt"
)

// recordingFaults is the set of coded values that rows of faults have in the table of
// measures; a row has the name of its rule.
const recordingFaults = "recording-fault"

// severityOf is how a fault is told: what can spoil curves is a warning where it does,
// else mostly an information; the others as their page says.
func severityOf(f dilution.Fault) finding.Severity {
	if rule := ruleOf(f.Rule); rule.MaySpoil && !f.Spoils && !rule.Warns {
		return finding.Info
	}
	page, _ := finding.RuleOf(f.Rule)
	return page.Severity
}

// weightOf is what follows from a fault. One that is a warning and leaves values makes
// them doubtful: nobody shall read such a number as one that is right.
func weightOf(f dilution.Fault) string {
	switch {
	case f.Spoils:
		return faultSpoilt
	case severityOf(f) > finding.Info:
		return faultDoubtful
	}
	return faultNoted
}

// Doubts gives the faults for which the values of a computation are not charted without a
// monitor and settle nothing, in the order in which they are told.
func (c *Computed) Doubts() []dilution.Fault {
	var doubts []dilution.Fault
	for _, f := range c.Result.Faults {
		if weightOf(f) != faultNoted {
			doubts = append(doubts, f)
		}
	}
	return doubts
}

// Flow gives the flow that the curves come to, as it is charted; not ok where there is
// none, or a fault makes it doubtful.
func (c *Computed) Flow() (flow record.Quantity, ok bool) {
	v, _ := recomputedRows[0].value(&c.Result)
	return v.Quantity, !v.IsAbsent() && !isDoubtful(*c)
}

// isDoubtful tells whether the values of a computation may be far off.
func isDoubtful(c Computed) bool { return len(c.Doubts()) > 0 }

// faultFacts gives what the record holds of the faults of a recording: each rule once,
// with the gravest that follows from it.
func (c *Computed) faultFacts(fact func(key string, v record.Value) record.Fact) []record.Fact {
	var facts []record.Fact
	for _, f := range c.Result.Faults {
		if measure.Get(f.Rule) == nil {
			continue
		}
		weight := weightOf(f)
		i := slices.IndexFunc(facts, func(g record.Fact) bool { return g.Measure == f.Rule })
		switch {
		case i < 0:
			facts = append(facts, fact(f.Rule, record.Value{Code: weight}))
		case weight == faultSpoilt:
			facts[i].Value.Code = weight
		}
	}
	return facts
}

// isFault tells whether a measure is a fault of a recording.
func isFault(key string) bool {
	m := measure.Get(key)
	return m != nil && m.Values == recordingFaults
}

// doubted tells whether a fault that stands in the record forbids computed values of an
// injection.
func (w *work) doubted(injection record.Thing) bool {
	for i := range w.facts {
		f := &w.facts[i]
		if f.About == injection && isFault(f.Measure) && f.Value.Code != faultNoted && !w.isGone(i) {
			return true
		}
	}
	return false
}

// Faults tells what is wrong with the recordings of a session that were computed: for an
// audit, which has no sheet to tell it of.
func Faults(s *record.Session, computed []Computed) finding.List {
	w := newWork(s, s.Facts)
	w.findings = nil
	w.tellComputed(computed)
	w.findings.Sort()
	return w.findings
}
