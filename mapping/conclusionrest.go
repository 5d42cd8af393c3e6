package mapping

import (
	"slices"
	"strconv"
	"strings"

	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// cautions says what a flow of this label carries with it.
func (c *conclusion) cautions() {
	if c.flow.Value.IsAbsent() || c.flow.Measure == "" {
		return
	}
	if c.code(sayDiastole) == "reversed" {
		c.add(c.say.diastole)
	}
	if c.code(sayMalformation) == "yes" {
		c.add(c.say.malformation)
	}
	if c.flow.Label.Determined() && c.flow.Label.Flows != measure.AllFlows {
		if c.ruledOut(sayStrokeVolume) {
			c.add(c.say.strokeWithheld)
		} else if value := c.value(sayStrokeVolume); value != "" {
			c.add(c.say.strokeVolume, "value", value)
		}
	}
	if c.verdict.CBV == measure.Caution && c.value(sayCentralVolume) != "" {
		c.add(c.say.centralCaution)
	}
}

// ruledOut tells whether a shunt makes a value of the session meaningless.
func (c *conclusion) ruledOut(key string) bool {
	f := c.session.Get(record.TheSession, key)
	return f != nil && f.Value.Absent.Reason == "shunt-rule"
}

// injections says how many there were and how far apart.
func (c *conclusion) injections() {
	used := 0
	if f := c.session.Get(record.TheSession, sayUsed); f != nil {
		used, _ = strconv.Atoi(f.Value.Quantity.Number)
	}
	all, causes := c.countInjections()
	spread := c.value(saySpread)
	switch phrase := c.say.injections; {
	case used == 1:
		c.add(c.say.oneInjection)
	case used > 1:
		if c.agreement() == "tie" {
			phrase = c.say.tied
		} else if used < all {
			phrase = c.say.injectionsOf
		}
		c.add(phrase, "Count", capital(count(used)), "all", count(all), "spread", spread)
	}
	if len(causes) > 0 {
		c.add(c.say.excluded, "causes", strings.Join(causes, ", "))
	}
}

// countInjections counts those that gave a flow and are not excluded, and names the
// causes of the others.
func (c *conclusion) countInjections() (counted int, causes []string) {
	for _, injection := range c.session.Things(measure.Injection) {
		if cause := c.session.Code(injection, sayExclusion); cause != "" {
			causes = append(causes, "injection "+injection.Key+" ("+measure.WordsOf(sayExclusion, cause)+")")
			continue
		}
		if f := c.session.Get(injection, measure.Get(labelKey).In); f != nil && !f.Value.IsAbsent() {
			counted++
		}
	}
	return counted, causes
}

// standing says whether somebody verified it, and what speaks against it.
func (c *conclusion) standing() {
	s := c.session
	if s.Withdrawn() {
		return
	}
	if c.contradicted() {
		c.add(c.say.contradiction, "what", c.whatContradicts())
	}
	pairs := []string{"at", c.moment(s.Verification.At), "revision", strconv.Itoa(s.Revision)}
	switch s.ReportStatus {
	case record.Final:
		c.add(c.say.verified, pairs...)
	case record.Corrected:
		c.add(c.say.corrected, pairs...)
	case record.Amended:
		c.add(c.say.amended, pairs...)
	case record.Preliminary:
		c.add(c.say.verified, pairs...)
		c.held(true)
	default:
		c.add(c.say.unverified)
		c.held(false)
	}
}

// held says what keeps the session preliminary. That it is, goes without saying
// where it is not verified.
func (c *conclusion) held(anyway bool) {
	var why []string
	for _, row := range holdRows {
		if row.when(c) {
			why = append(why, row.says)
		}
	}
	switch {
	case len(why) > 0:
		c.add(c.say.preliminaryBecause, "why", strings.Join(why, "; "))
	case anyway:
		c.add(c.say.preliminary)
	}
}

// whatContradicts names the sign, or the way of the catheter.
func (c *conclusion) whatContradicts() string {
	for _, injection := range c.session.Things(measure.Injection) {
		if c.session.Code(injection, saySign) == "yes" {
			return "injection " + injection.Key + " shows a left-to-right sign"
		}
	}
	return "the venous catheter went through the atrial wall"
}

// withheldOrder is the order in which withheld values are named.
var withheldOrder = []measure.Column{measure.ColumnLV, measure.ColumnRO, measure.ColumnCBV, measure.ColumnEDV, ""}

// withheld names the values of the session that are withheld, and why where that
// has not been said; those of one reason stand together.
func (c *conclusion) withheld() {
	var reasons []string
	items := map[string][]string{}
	for _, column := range withheldOrder {
		for i := range measure.All() {
			m := &measure.All()[i]
			if m.Brief == "" || m.Column != column {
				continue
			}
			f := c.session.Get(record.TheSession, m.Key)
			if f == nil || !f.Value.IsAbsent() || c.said(f) {
				continue
			}
			why := ""
			if reason := f.Value.Absent.Reason; !c.explained(reason) {
				why = c.reason(reason)
			}
			if items[why] == nil {
				reasons = append(reasons, why)
			}
			items[why] = append(items[why], m.Brief)
		}
	}
	var groups []string
	for _, why := range reasons {
		group := strings.Join(items[why], ", ")
		if why != "" {
			group = fill(c.say.withheldItem, "item", group, "why", why)
		}
		groups = append(groups, group)
	}
	if len(groups) > 0 {
		c.add(c.say.withheld, "items", strings.Join(groups, "; "))
	}
}

// said tells that the stroke volume has been spoken of already.
func (c *conclusion) said(f *record.Fact) bool {
	return f.Measure == sayStrokeVolume && c.flow.Label.Determined() && c.ruledOut(sayStrokeVolume)
}

// explained tells whether the reason is why no flow can be named, or why there is
// none at all: the first sentence has said so.
func (c *conclusion) explained(reason string) bool {
	if c.flow.Value.IsAbsent() {
		return reason == c.flow.Value.Absent.Reason
	}
	return !c.flow.Label.Determined() && slices.Contains([]string{"shunt-not-assessed", "monitor-area", c.flow.Label.Reason}, reason)
}

// circuits says what else ran, and how much of the flow the loop carried.
func (c *conclusion) circuits() {
	if share := c.value(sayLoopShare); share != "" {
		c.add(c.say.loopShare, "share", share)
	}
	switch c.code(sayCircuit) {
	case "dialysis":
		c.add(c.say.dialysis)
	case "other":
		c.add(c.say.otherCircuit)
	}
}

// load says what the measurement gave to the patient.
func (c *conclusion) load() {
	c.loadOf(c.say.given,
		loadItem{"", "fluid-given", "fluid-given-by-weight"},
		loadItem{c.say.givenSodium, "sodium-given", "sodium-given-by-weight"},
		loadItem{c.say.givenHeparin, "heparin-given", "heparin-given-by-weight"})
	c.loadOf(c.say.day,
		loadItem{"", "fluid-given-24-hours", ""},
		loadItem{c.say.givenSodium, "sodium-given-24-hours", ""})
}

// loadItem is an amount with its share per kg.
type loadItem struct{ phrase, amount, perKg string }

func (c *conclusion) loadOf(phrase string, list ...loadItem) {
	var items []string
	for _, item := range list {
		amount := c.value(item.amount)
		if amount == "" {
			continue
		}
		if perKg := c.value(item.perKg); perKg != "" {
			amount += " (" + perKg + ")"
		}
		if item.phrase != "" {
			amount = fill(item.phrase, "amount", amount)
		}
		items = append(items, amount)
	}
	if len(items) > 0 {
		c.add(phrase, "items", strings.Join(items, ", "))
	}
}
