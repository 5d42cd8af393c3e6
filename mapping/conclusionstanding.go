package mapping

import (
	"slices"
	"strconv"
	"strings"
	"sync"

	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// standing says whether somebody verified it, and what speaks against it.
func (c *conclusion) standing() {
	s := c.session
	if s.Withdrawn() {
		return
	}
	c.contradiction()
	at := c.moment(s.Verification.At)
	switch s.ReportStatus {
	case record.Final:
		c.add(say.verified, "at", at)
	case record.Corrected:
		c.changed(say.corrected, at)
	case record.Amended:
		c.changed(say.amended, at)
	case record.Preliminary:
		c.add(say.verified, "at", at)
		c.held(true)
	default:
		c.add(say.unverified)
		c.held(false)
	}
}

// contradiction says what contradicts the levels as stated, or that it was answered.
func (c *conclusion) contradiction() {
	switch c.code(sayContradicts) {
	case "unanswered":
		what, levels := c.whatContradicts(false)
		var looks []string
		for _, group := range c.byLook(levels) {
			looks = append(looks, group.look.String())
		}
		c.add(say.contradiction, "what", what, "looks", strings.Join(looks, ", "))
	case "answered":
		what, _ := c.whatContradicts(true)
		at := record.Time("")
		if f := c.of(sayAnsweredAt); f != nil {
			at = f.Value.Time
		}
		c.add(say.answered, "what", capital(what), "at", c.moment(at))
	}
}

// whatContradicts names the sign, or the way of the catheter, and the levels that it
// speaks against. past tells it of one that was answered.
func (c *conclusion) whatContradicts(past bool) (what string, levels []string) {
	for _, row := range signRows {
		for _, g := range c.given {
			if !measure.SignCounts(g.cause) || c.codeOf(g.thing, row.key) != "yes" || !row.contradicts(c.shunts, c.preductal()) {
				continue
			}
			phrase := row.shows
			if past {
				phrase = row.showed
			}
			return c.fill(phrase, "key", g.thing.Key), spokenLevels
		}
	}
	return c.in(say.catheterWent), []string{measure.Atrial}
}

// preductal tells whether the artery is stated to lie before the duct.
func (c *conclusion) preductal() bool {
	return c.codeOf(record.Thing{Kind: measure.Catheter, Key: "arterial"}, sayDuctSite) == "preductal"
}

// changed says what a revision changed after the release, and which number it took
// the place of.
func (c *conclusion) changed(phrase wording, at string) {
	change := c.session.Change
	reason := ""
	if f := c.of(sayReason); f != nil && change.Revision == c.session.Revision {
		reason = ": " + oneSentence(f.Value.Text)
	}
	c.add(phrase, "revision", strconv.Itoa(change.Revision), "at", at, "reason", reason)
	if change.Flow.Number == "" {
		return
	}
	label := change.Label.Words(c.language)
	if change.Label == c.flow.Label {
		label = c.in(say.sameFlow)
	}
	c.add(say.before, "value", spoken(change.Flow), "label", label)
}

// held says what keeps the session preliminary. That it is, goes without saying
// where it is not verified.
func (c *conclusion) held(anyway bool) {
	var why []string
	for _, h := range Hold(c.session) {
		why = append(why, c.in(h.Words))
	}
	switch {
	case len(why) > 0:
		c.add(say.preliminaryBecause, "why", strings.Join(why, "; "))
	case anyway:
		c.add(say.preliminary)
	}
}

// withheldOrder is the order in which withheld values are named.
var withheldOrder = []measure.Column{measure.ColumnLV, measure.ColumnRO, measure.ColumnCBV, measure.ColumnEDV, ""}

// listedMeasures are the measures that have a name in a list, in that order.
var listedMeasures = sync.OnceValue(func() []*measure.Measure {
	var listed []*measure.Measure
	for _, column := range withheldOrder {
		for i := range measure.All() {
			if m := &measure.All()[i]; m.Listed() && m.Column == column {
				listed = append(listed, m)
			}
		}
	}
	return listed
})

// withheld names the values of the session that are withheld, and why where that
// has not been said; those of one reason stand together.
func (c *conclusion) withheld() {
	if len(c.given) == 0 {
		return
	}
	var reasons []string
	items := map[string][]string{}
	for _, m := range listedMeasures() {
		f := c.of(m.Key)
		if f == nil || !f.Value.IsAbsent() || c.said(f) {
			continue
		}
		why := c.whyWithheld(f, m)
		if items[why] == nil {
			reasons = append(reasons, why)
		}
		items[why] = append(items[why], m.Brief.In(c.language))
	}
	var groups []string
	for _, why := range reasons {
		group := strings.Join(items[why], ", ")
		if why != "" {
			group = c.fill(say.withheldItem, "item", group, "why", why)
		}
		groups = append(groups, group)
	}
	if len(groups) > 0 {
		c.add(say.withheld, "items", strings.Join(groups, "; "))
	}
}

// said tells that a value has been spoken of already, or will be as not shown.
func (c *conclusion) said(f *record.Fact) bool {
	return f.Measure == sayStrokeVolume && c.namesFlows() && c.ruledOut(sayStrokeVolume) ||
		slices.ContainsFunc(monitorRows, func(row monitorRow) bool { return row.reason == f.Value.Absent.Reason })
}

// whyWithheld says why a value is withheld, "" where the first sentence has said so:
// the reason is why no flow can be named, or why there is none at all.
func (c *conclusion) whyWithheld(f *record.Fact, m *measure.Measure) string {
	reason := f.Value.Absent.Reason
	switch {
	case c.flow.Value.IsAbsent() && reason == c.flow.Value.Absent.Reason,
		!c.withoutFlow() && !c.flow.Label.Determined() && slices.Contains([]string{"shunt-not-assessed", "monitor-area", c.flow.Label.Reason}, reason):
		return ""
	case reason == "input-missing":
		if missing := c.missing(m); len(missing) > 0 {
			return c.fill(say.missing, "inputs", strings.Join(missing, ", "))
		}
	}
	return c.reason(reason)
}

// missing names the inputs of a measure that the record lacks: of injections, that
// one of those used lacks.
func (c *conclusion) missing(m *measure.Measure) []string {
	var names []string
	for _, key := range m.Inputs {
		input := measure.Get(key)
		lacks := !record.Any(c.session.Facts, func(f *record.Fact) bool { return f.Measure == key && !f.Value.IsAbsent() })
		if input.Has(measure.Injection) {
			lacks = slices.ContainsFunc(c.given, func(g given) bool { return g.used && c.get(g.thing, key) == nil })
		}
		if lacks {
			names = append(names, input.Brief.In(c.language))
		}
	}
	return names
}

// load says how much of the flow the loop carried, and what the measurement gave to
// the patient.
func (c *conclusion) load() {
	if share := c.value(sayLoopShare); share != "" {
		c.add(say.loopShare, "share", share)
	}
	c.loadOf(say.given,
		loadItem{wording{}, "fluid-given", "fluid-given-by-weight"},
		loadItem{say.givenSodium, "sodium-given", "sodium-given-by-weight"},
		loadItem{say.givenHeparin, "heparin-given", "heparin-given-by-weight"})
	c.loadOf(say.day,
		loadItem{wording{}, "fluid-given-24-hours", ""},
		loadItem{say.givenSodium, "sodium-given-24-hours", ""})
}

// loadItem is an amount with its share per kg.
type loadItem struct {
	phrase        wording
	amount, perKg string
}

func (c *conclusion) loadOf(phrase wording, list ...loadItem) {
	var items []string
	for _, item := range list {
		amount := c.value(item.amount)
		if amount == "" {
			continue
		}
		if perKg := c.value(item.perKg); perKg != "" {
			amount += " (" + perKg + ")"
		}
		if item.phrase != (wording{}) {
			amount = c.fill(item.phrase, "amount", amount)
		}
		items = append(items, amount)
	}
	if len(items) > 0 {
		c.add(phrase, "items", strings.Join(items, ", "))
	}
}
