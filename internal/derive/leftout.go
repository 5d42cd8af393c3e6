package derive

import (
	"slices"

	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// LeftOut tells that a session comes without its single injections though it rests
// on some: a site may leave them out of its bundles. What was made from them cannot
// be made again; Check takes it as it stands and judges all that follows from it.
//
// It is told by what no session without injections has: how they agree, or a mean
// over them.
func LeftOut(s *record.Session) bool {
	isOfInjection := func(f *record.Fact) bool { return f.About.Kind == measure.Injection }
	rests := func(f *record.Fact) bool {
		return f.Origin == record.Derived && f.About == record.TheSession && (f.Measure == "agreement" || isMean(f.Measure))
	}
	return !record.Any(s.Facts, isOfInjection) && record.Any(s.Facts, rests)
}

// isMean tells whether a measure is a mean over injections.
func isMean(key string) bool {
	return slices.ContainsFunc(derivations, func(d derivation) bool { return d.makes == key && d.each != "" })
}

// fromInjections tells whether a row looks at single injections.
func (d *derivation) fromInjections() bool { return d.counts || d.each != "" }

// standsAsItIs tells whether a derived fact is taken as it stands.
func standsAsItIs(f *record.Fact) bool {
	return slices.ContainsFunc(derivations, func(d derivation) bool { return d.makes == f.Measure && d.fromInjections() })
}

// agreedOf gives what the injections came to, from the flow of the session that
// stands.
func (w *work) agreedOf(flow *record.Fact) replicates {
	r := replicates{at: w.session.Start}
	if flow == nil {
		r.reason = "input-missing"
		return r
	}
	r.at = flow.At
	switch reason := flow.Value.Absent.Reason; reason {
	case "no-agreeing-pair", "injection-failed", "input-missing":
		r.reason = reason
	}
	return r
}
