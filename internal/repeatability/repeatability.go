// Package repeatability tells how far the injections of one session scatter on a unit:
// the variation within sessions, pooled over many, with its degrees of freedom, and what
// follows from it for the mean of one to four injections. A site puts the figure into
// its settings; the precision that is charted with a mean comes from there.
//
// A Pool takes sessions as mapping reads them from bundles, in any form and order. What
// counts are all technically valid injections: those not excluded whose flow the monitor
// showed, also where they did not agree. Left out, each with its reason (reasons.go),
// are whole sessions: withdrawn ones, earlier revisions of one session, those in which
// the treatment changed or which had too long a gap, those of which the bundles carry no
// single injections, and those with fewer than two valid ones. Test sessions and those
// of patients are never pooled together.
//
// Formulas and their sources stand in internal/hemo (pooled.go, precision.go). Flows are
// read exactly and become float64 with their logarithms.
//
// Limits: nothing is known here of operators; injections of one session are taken as
// independent; the rounding of the monitor is part of the variation. Whether a figure
// has enough degrees of freedom the site decides.
package repeatability

import (
	"cmp"
	"maps"
	"slices"

	"saltmark/internal/finding"
	"saltmark/mapping"
	"saltmark/mapping/record"
)

// Options say which sessions are pooled. The zero Options pool the flows that monitors
// reported, of all sessions.
type Options struct {
	// Values is the origin of the flows: record.Reported ("" too) or record.Recomputed.
	Values record.Origin
	// Test is "yes" for test sessions alone, "no" for those of patients alone.
	Test string
	// Verified leaves out sessions that nobody has verified.
	Verified bool
	// Only holds, by the name of a trait (Traits), the one value that counts.
	Only map[string]string
	// By is the trait by which figures are given apart too, "" for none.
	By string
}

func (o Options) values() record.Origin { return cmp.Or(o.Values, record.Reported) }

// Pool gathers sessions. Memory is that of the flows alone.
type Pool struct {
	options Options
	held    map[string]*held // by the session's identifier
	leftOut map[reason][]string
}

// held is the latest revision of a session that was seen.
type held struct {
	evidence
	differ bool // another document of the same revision says something else
}

// New gives an empty pool.
func New(o Options) *Pool {
	return &Pool{options: o, held: map[string]*held{}, leftOut: map[reason][]string{}}
}

// Add takes what was read of one document. The findings tell why it does not count,
// where that is a fault of the document.
func (p *Pool) Add(name string, r mapping.Reading) finding.List {
	if r.Session == nil || r.Findings.HasErrors() {
		p.leave(unreadable, name)
		return r.Findings
	}
	e := evidenceOf(r.Session, p.options.values())
	before := p.held[e.id]
	switch {
	case before == nil:
		p.held[e.id] = &held{evidence: e}
	case e.revision < before.revision:
		p.leave(earlierRevision, e.id)
	case e.revision > before.revision:
		p.leave(earlierRevision, e.id)
		*before = held{evidence: e}
	case e.equal(before.evidence):
		p.leave(repeated, e.id)
	default:
		before.differ = true
	}
	return nil
}

func (p *Pool) leave(why reason, name string) { p.leftOut[why] = append(p.leftOut[why], name) }

// sorted gives the sessions in the order of their identifiers, so that sums do not
// depend on the order of the documents.
func (p *Pool) sorted() []*held {
	var sessions []*held
	for _, id := range slices.Sorted(maps.Keys(p.held)) {
		sessions = append(sessions, p.held[id])
	}
	return sessions
}
