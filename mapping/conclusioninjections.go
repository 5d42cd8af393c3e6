package mapping

import (
	"slices"
	"strconv"
	"strings"

	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// given is one injection.
type given struct {
	thing record.Thing
	flow  *record.Fact // what the monitor reported, nil for nothing
	cause string       // why it is excluded
	used  bool         // the session's flow was made from it
}

// fromCurve tells whether a flow that is shown was computed from the curves.
func (g given) fromCurve() bool {
	return g.flow != nil && g.flow.Origin == record.Recomputed && !g.flow.Value.IsAbsent() && g.cause == ""
}

// injectionsGiven gives every injection, in order.
func (c *conclusion) injectionsGiven() []given {
	var all []given
	for _, thing := range c.session.Things(measure.Injection) {
		g := given{thing: thing, flow: c.get(thing, flowKey()), cause: c.codeOf(thing, sayExclusion)}
		g.used = g.flow != nil && slices.Contains(c.flow.From, g.flow.Ref)
		all = append(all, g)
	}
	return all
}

// injections says how many there were, how far apart, and what became of the others.
func (c *conclusion) injections() {
	used := 0
	if f := c.of(sayUsed); f != nil {
		used, _ = strconv.Atoi(f.Value.Quantity.Number)
	}
	if used > 0 {
		phrase := say.injections
		switch {
		case used == 1:
			phrase = say.oneInjection
		case c.code(sayAgreement) == "tie":
			phrase = say.tied
		}
		c.add(phrase, "injections", capital(c.howMany(used)), "spread", c.value(saySpread))
	}
	c.others(used > 0)
}

// howMany says "two injections", or "two of three injections".
func (c *conclusion) howMany(used int) string {
	switch {
	case used < len(c.given):
		return c.fill(say.countOf, "count", c.count(used), "all", c.count(len(c.given)))
	case used == 1:
		return c.in(say.countOne)
	}
	return c.fill(say.count, "count", c.count(used))
}

// others says of every injection that is not in the flow why: it was excluded, the
// monitor showed no flow, or it lay apart. Where the session has no flow, what lay
// apart has been said.
func (c *conclusion) others(charted bool) {
	var excluded []string
	for _, g := range c.given {
		if g.cause != "" {
			excluded = append(excluded, c.fill(say.excludedItem, "key", g.thing.Key, "cause", measure.WordsOf(sayExclusion, g.cause, c.language)))
		}
	}
	if n := len(excluded); n > 0 {
		c.add(say.excluded, "Count", capital(c.count(n)), "items", strings.Join(excluded, ", "))
	}
	for _, g := range c.given {
		switch {
		case g.cause != "" || g.used:
		case g.flow == nil:
			c.add(say.noFlow, "key", g.thing.Key)
		case g.flow.Value.IsAbsent():
			c.withoutFlowOf(g)
		case charted:
			c.add(say.apart, "key", g.thing.Key, "value", spoken(g.flow.Value.Quantity))
		}
	}
}

// withoutFlowOf says why an injection has no flow: what the monitor showed in its place; of
// one that was computed, what is wrong with the recording.
func (c *conclusion) withoutFlowOf(g given) {
	why := c.reason(g.flow.Value.Absent.Reason)
	if g.flow.Origin != record.Recomputed {
		c.add(say.noFlowBecause, "key", g.thing.Key, "why", why+c.bound(g.flow))
		return
	}
	if faults := c.faults(g.thing); len(faults) > 0 {
		why = strings.Join(faults, ", ")
	}
	c.add(say.recomputedWithheld, "key", g.thing.Key, "why", why)
}

// faults names what is wrong with the recording of an injection and takes its values
// away, in the order of the table of measures.
func (c *conclusion) faults(injection record.Thing) []string {
	var names []string
	for i := range measure.All() {
		m := &measure.All()[i]
		if m.Values != faultSet {
			continue
		}
		if code := c.codeOf(injection, m.Key); code != "" && code != faultNoted {
			names = append(names, m.Words.In(c.language))
		}
	}
	return names
}

// faultSet is the set of values of the measures that are faults of a recording, and
// faultNoted the code of one that leaves the computed values alone.
const (
	faultSet   = "recording-fault"
	faultNoted = "noted"
)

// bound says the bound that a value lay beyond, as in " (below 5 mL)"; "" where none
// was shown.
func (c *conclusion) bound(f *record.Fact) string {
	i := slices.IndexFunc(monitorRows, func(row monitorRow) bool { return row.reason == f.Value.Absent.Reason })
	if i < 0 || f.Value.Absent.Bound.Number == "" {
		return ""
	}
	return c.fill(monitorRows[i].bound, "bound", spoken(f.Value.Absent.Bound))
}

// notShown names what the monitor did not show, or showed to be out of its range:
// that is not withheld.
func (c *conclusion) notShown() {
	for _, row := range monitorRows {
		var items []string
		for _, m := range listedMeasures() {
			if f := c.of(m.Key); f != nil && f.Value.Absent.Reason == row.reason {
				items = append(items, m.Brief.In(c.language)+c.boundOf(m.Key, row.reason))
			}
		}
		if len(items) > 0 {
			c.add(row.says, "items", strings.Join(items, ", "))
		}
	}
}

// boundOf gives the bound that the monitor showed at one of the injections used.
func (c *conclusion) boundOf(key, reason string) string {
	for _, g := range c.given {
		if f := c.get(g.thing, key); f != nil && g.cause == "" && f.Value.Absent.Reason == reason {
			return c.bound(f)
		}
	}
	return ""
}
