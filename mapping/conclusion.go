package mapping

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"saltmark/internal/ucum"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// What a conclusion speaks of, by its key in the table of measures.
const (
	sayIndexByWeight  = "blood-flow-index-by-weight"
	sayIndexByArea    = "blood-flow-index-by-area"
	sayArea           = "body-surface-area"
	sayWeight         = "weight"
	sayWeightFirst    = "weight-first-limit"
	sayBirthDate      = "birth-date"
	sayUsed           = "injections-used"
	saySpread         = "spread"
	sayAgreement      = "agreement"
	sayExclusion      = "exclusion-cause"
	sayDiastole       = "descending-aorta-diastole"
	sayMalformation   = "systemic-malformation"
	sayCircuit        = "other-circuit"
	sayStrokeVolume   = "stroke-volume"
	sayCentralVolume  = "central-blood-volume"
	sayContradicts    = "sign-contradicts"
	saySign           = "shunt-sign"
	sayTip            = "catheter-tip"
	sayLoopShare      = "loop-share-of-flow"
	sayLevelSeen      = "level-seen"
	sayLevelMethod    = "level-method"
	sayLevelLesion    = "level-lesion"
	sayLevelDirection = "level-direction"
	sayLookLimit      = "look-limit"
)

// sessionFlow gives the flow that the session charts, nil where there is none.
func sessionFlow(s *record.Session) *record.Fact {
	return s.Find(record.TheSession, measure.Get(labelKey).In, record.Derived)
}

// conclude gives the conclusion of the report, in paragraphs, in the order in which
// a colleague must see it: how much and whose flow it is; what it is not, and how
// old the look for a shunt is; how many injections and how far apart; whether it is
// verified, or contradicted; what the measurement cost; last the cautions that
// always apply.
func conclude(s *record.Session) []string {
	s = standingSession(s)
	c := &conclusion{session: s, say: english, flow: sessionFlow(s), shunts: s.Shunts()}
	if c.flow == nil {
		c.flow = &record.Fact{}
	}
	c.verdict = measure.Judge(c.shunts)
	c.time = c.flow.At
	if c.time == "" {
		c.time = s.End
	}
	var paragraphs []string
	for _, part := range [][]func(){
		{c.takenBack},
		{c.howMuch, c.also, c.isNot, c.cautions},
		{c.injections},
		{c.standing},
		{c.withheld},
		{c.circuits, c.load},
		{c.always},
	} {
		c.sentences = c.sentences[:0]
		for _, speak := range part {
			speak()
		}
		if len(c.sentences) > 0 {
			paragraphs = append(paragraphs, strings.Join(c.sentences, " "))
		}
	}
	return paragraphs
}

// conclusion is a session that is put into words.
type conclusion struct {
	session   *record.Session
	say       phrases
	flow      *record.Fact
	shunts    measure.Shunts
	verdict   measure.Verdict
	time      record.Time // when the flow was measured
	sentences []string
}

func (c *conclusion) add(phrase string, pairs ...string) {
	c.sentences = append(c.sentences, fill(phrase, pairs...))
}

// takenBack comes before everything else.
func (c *conclusion) takenBack() {
	w := c.session.Withdrawal
	phrase := c.say.enteredInError
	switch {
	case !c.session.Withdrawn():
		return
	case w.NeverMeasured:
		phrase = c.say.neverMeasured
	}
	c.add(phrase, "at", c.moment(w.At), "reason", strings.TrimRight(strings.TrimSpace(w.Reason), "."))
}

// howMuch says the flow, and whose it is.
func (c *conclusion) howMuch() {
	at := clock(c.time)
	switch label := c.flow.Label; {
	case c.flow.Measure == "" || c.flow.Value.IsAbsent():
		c.add(c.say.flowWithheld, "time", at, "why", c.reason(c.flow.Value.Absent.Reason))
		c.singleValues()
	case label.Flows.Contains(measure.Qs):
		c.add(c.say.flowToBody, "time", at, "numbers", c.numbers())
	case label.IsZero():
		c.add(c.say.flow, "time", at, "numbers", c.numbers())
	default:
		c.add(c.say.flowUnknown, "time", at, "numbers", c.numbers(), "why", c.whyUnknown())
	}
}

// singleValues says what single injections gave where the session has no value.
func (c *conclusion) singleValues() {
	var values []string
	for _, injection := range c.session.Things(measure.Injection) {
		f := c.session.Get(injection, measure.Get(labelKey).In)
		if f != nil && !f.Value.IsAbsent() && !c.excludes(injection) {
			values = append(values, spoken(f.Value.Quantity))
		}
	}
	if len(values) > 0 {
		c.add(c.say.singles, "values", strings.Join(values, ", "))
	}
}

func (c *conclusion) excludes(injection record.Thing) bool {
	return c.session.Code(injection, sayExclusion) != ""
}

// numbers says the flow per kg first in small patients, else per area.
func (c *conclusion) numbers() string {
	plain := spoken(c.flow.Value.Quantity)
	perKg := c.value(sayIndexByWeight)
	perArea := c.value(sayIndexByArea)
	if perArea != "" {
		if area := c.session.Get(record.TheSession, sayArea); area != nil && area.Method != "" {
			perArea += ", " + wordsOfMethod(area.Method)
		}
	}
	order := []string{perKg, plain, perArea}
	if !c.weightFirst() {
		order = []string{perArea, plain, perKg}
	}
	order = slices.DeleteFunc(order, func(s string) bool { return s == "" })
	if len(order) == 1 {
		return order[0]
	}
	return order[0] + " (" + strings.Join(order[1:], "; ") + ")"
}

// weightFirst tells whether the patient weighs less than the site's limit; without
// one, flow per kg comes first.
func (c *conclusion) weightFirst() bool {
	weight, limit := c.session.Get(record.TheSession, sayWeight), c.session.Get(record.TheSession, sayWeightFirst)
	if weight == nil || limit == nil {
		return true
	}
	x, err := ucum.Convert(weight.Value.Quantity, "kg")
	y, err2 := ucum.Convert(limit.Value.Quantity, "kg")
	return err != nil || err2 != nil || x.Cmp(y) < 0
}

// value says a number of the session, "" where it has none.
func (c *conclusion) value(key string) string {
	f := c.session.Get(record.TheSession, key)
	if f == nil || f.Value.Quantity.Number == "" || f.Status.TakenBack() && !c.session.Withdrawn() {
		return ""
	}
	return spoken(f.Value.Quantity)
}

func (c *conclusion) code(key string) string { return c.session.Code(record.TheSession, key) }

func (c *conclusion) reason(code string) string {
	reason, ok := measure.ReasonOf(code)
	if !ok {
		reason, _ = measure.ReasonOf("input-missing")
	}
	return reason.Words
}

func (c *conclusion) agreement() string { return c.code(sayAgreement) }

func (c *conclusion) contradicted() bool { return c.code(sayContradicts) == "unanswered" }

func (c *conclusion) tip() string {
	return c.session.Code(record.Thing{Kind: measure.Catheter, Key: "venous"}, sayTip)
}

// doubts tells whether one of the reasons is why no flow can be named.
func (c *conclusion) doubts(reasons ...string) bool {
	return slices.ContainsFunc(c.verdict.Doubts, func(d string) bool { return slices.Contains(reasons, d) })
}

// moment says a time: that of the day of the measurement by the clock alone.
func (c *conclusion) moment(t record.Time) string {
	if day(t) == day(c.time) {
		return fill(c.say.at, "clock", clock(t))
	}
	if t.IsDate() {
		return string(t)
	}
	return fill(c.say.on, "date", day(t), "clock", clock(t))
}

// count writes a small number out.
func count(n int) string {
	if n >= 0 && n < len(countWords) {
		return countWords[n]
	}
	return strconv.Itoa(n)
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// list joins "a", "b" and "c" as a sentence does.
func (c *conclusion) list(items []string) string {
	if len(items) < 2 {
		return strings.Join(items, "")
	}
	last := len(items) - 1
	return strings.Join(items[:last], ", ") + " " + c.say.and + " " + items[last]
}

// childUntil is the age, in years, below which a patient is spoken of as a child.
const childUntil = 18

// always says what is always true.
func (c *conclusion) always() {
	if f := c.session.Get(record.TheSession, sayBirthDate); f != nil && f.Value.Time != "" {
		if !f.Value.Time.Go().AddDate(childUntil, 0, 0).After(c.session.Start.Go()) {
			c.add(c.say.alwaysAdult)
			return
		}
	}
	c.add(c.say.always)
}

// hoursSpoken is up to how many hours an age is spoken of in hours.
const hoursSpoken = 72

// apart says the time between two moments, in whole hours or days.
func apart(a, b time.Time) string {
	hours := int(a.Sub(b).Abs().Round(time.Hour) / time.Hour)
	if hours <= hoursSpoken {
		return strconv.Itoa(hours) + " h"
	}
	return strconv.Itoa((hours+12)/24) + " days"
}
