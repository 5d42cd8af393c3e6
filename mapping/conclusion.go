package mapping

import (
	"math/big"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"saltmark/internal/ucum"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// What a conclusion speaks of, by its key in the table of measures.
const (
	sayIndexByWeight  = "blood-flow-index-by-weight"
	sayOneByWeight    = "blood-flow-by-weight-of-one-injection"
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
	sayAnsweredAt     = "sign-answer-at"
	sayDuctSite       = "catheter-duct-site"
	sayTip            = "catheter-tip"
	sayMonitorArea    = "area-counts-lung-recirculation"
	sayLoopShare      = "loop-share-of-flow"
	sayLevelSeen      = "level-seen"
	sayLevelMethod    = "level-method"
	sayLevelLesion    = "level-lesion"
	sayLevelDirection = "level-direction"
	sayLookLimit      = "look-limit"
	sayReason         = "revision-reason"
	sayUncertainty    = "blood-flow-uncertainty"
	sayInterval       = "computation-interval"
)

// flowKey is the row of the flow, which carries the label.
func flowKey() string { return measure.Get(labelKey).In }

// sessionFlow gives the flow that the session charts, nil where there is none.
func sessionFlow(s *record.Session) *record.Fact {
	return s.Find(record.TheSession, flowKey(), record.Derived)
}

// conclude gives the conclusion of the report, in paragraphs, in the order in which
// a colleague must see it: how much and whose flow it is; what it is not, and how
// old the look for a shunt is; how many injections and how far apart; whether it is
// verified, or contradicted; what is withheld; what the measurement cost; last the
// caution that always applies.
func conclude(s *record.Session, l measure.Language) []string {
	c := newConclusion(standingSession(s), l)
	var paragraphs []string
	for _, part := range [][]func(){
		{c.takenBack},
		{c.howMuch, c.fromCurves, c.also, c.notLeft, c.ofUnknown, c.diastole, c.strokeWithheld, c.notRight, c.cautions, c.lastLook},
		{c.injections},
		{c.standing},
		{c.withheld, c.notShown},
		{c.load},
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
	ofSession map[string]*record.Fact // by their measure
	ofThings  map[slot]*record.Fact
	language  measure.Language
	flow      *record.Fact
	shunts    measure.Shunts
	verdict   measure.Verdict
	time      record.Time   // when the flow was measured
	given     []given       // the injections
	used      []time.Time   // those of the flow
	limit     time.Duration // how long a look holds; 0 = not said
	sentences []string
	named     []string // levels that were named as open
	looked    bool     // a look was spoken of
	beside    bool     // the flow stands elsewhere, see whoseFlow
}

func newConclusion(s *record.Session, l measure.Language) *conclusion {
	c := &conclusion{session: s, language: l, flow: sessionFlow(s), shunts: s.Shunts()}
	c.index()
	if c.flow == nil {
		c.flow = &record.Fact{}
	}
	c.verdict = measure.Judge(c.shunts)
	c.time = c.flow.At
	if c.time == "" {
		c.time = s.End
	}
	c.given = c.injectionsGiven()
	c.used = c.timesUsed()
	c.limit = c.lookLimit()
	return c
}

// index puts facts where they are looked up; of two of a measure about one thing the
// first counts.
func (c *conclusion) index() {
	c.ofSession = make(map[string]*record.Fact, len(c.session.Facts))
	c.ofThings = make(map[slot]*record.Fact, len(c.session.Facts))
	for i := range c.session.Facts {
		f := &c.session.Facts[i]
		switch at := (slot{f.About, f.Measure}); {
		case f.About == record.TheSession:
			if c.ofSession[f.Measure] == nil {
				c.ofSession[f.Measure] = f
			}
		case c.ofThings[at] == nil:
			c.ofThings[at] = f
		}
	}
}

func (c *conclusion) add(phrase wording, pairs ...string) {
	c.sentences = append(c.sentences, c.fill(phrase, pairs...))
}

// in gives a phrase in the language of the conclusion, fill with values put into it.
func (c *conclusion) in(phrase wording) string { return phrase.In(c.language) }

func (c *conclusion) fill(phrase wording, pairs ...string) string {
	return fill(c.in(phrase), pairs...)
}

// takenBack comes before everything else. A first revision had not been read by
// anybody before.
func (c *conclusion) takenBack() {
	w := c.session.Withdrawal
	phrase, read := say.enteredInError, say.hadRead
	switch {
	case !c.session.Withdrawn():
		return
	case w.NeverMeasured:
		phrase = say.neverMeasured
	}
	if c.session.Revision == 1 {
		read = say.sheetReads
	}
	c.add(phrase, "at", c.moment(w.At), "reason", oneSentence(w.Reason))
	if len(c.given) > 0 {
		c.add(read)
	}
}

// howMuch says the flow, and whose it is.
func (c *conclusion) howMuch() {
	label := c.flow.Label
	pairs := []string{"flow", c.in(say.flow), "time", c.clock(c.time)}
	if label.Flows.Contains(measure.Qs) {
		pairs[1] = c.in(say.flowToBody)
	}
	switch {
	case len(c.given) == 0 && c.withoutFlow():
		c.add(say.noInjection)
	case c.withoutFlow():
		c.add(say.withheldFlow, append(pairs, "why", c.reason(c.flow.Value.Absent.Reason))...)
		if singles := c.singles(); len(singles) > 0 {
			c.addFlow(say.singles, "numbers", strings.Join(singles, ", "))
		}
	default:
		c.addFlow(say.charted, append(pairs, "numbers", c.numbers())...)
	}
}

// fromCurves says that no monitor showed the flow, and how sure it is; or that what it is
// was settled by one that was computed.
func (c *conclusion) fromCurves() {
	alone := c.shunts
	alone.Agrees = false
	switch {
	case c.code(besideKey) == onlyRecomputed:
		reach := c.reach(c.flow.Value.Quantity, c.of(sayUncertainty))
		if reach == "" {
			c.add(say.recomputed)
			return
		}
		c.add(say.recomputedReach, "reach", reach, "scope", c.scope())
	case c.withoutFlow() && slices.ContainsFunc(c.given, given.fromCurve):
		c.add(say.recomputed)
	case c.shunts.Agrees && c.shows() && measure.Judge(alone).Label != c.verdict.Label:
		c.add(say.settledByCurves)
	}
}

// reach says from where to where two stated standard deviations reach about a value, in
// its digits; "" where none is stated.
func (c *conclusion) reach(value record.Quantity, deviation *record.Fact) string {
	if deviation == nil || deviation.Value.IsAbsent() {
		return ""
	}
	x, err := ucum.Convert(value, value.Unit)
	sd, err2 := ucum.Convert(deviation.Value.Quantity, value.Unit)
	if err != nil || err2 != nil {
		return ""
	}
	both := new(big.Rat).Add(sd, sd)
	low, high := new(big.Rat).Sub(x, both), new(big.Rat).Add(x, both)
	if low.Sign() < 0 {
		low.SetInt64(0)
	}
	digits := value.Decimals()
	return c.fill(say.reach, "low", ucum.Round(low, digits), "high", spoken(record.Quantity{Number: ucum.Round(high, digits), Unit: value.Unit}))
}

// scope says of the stated deviation what it leaves out.
func (c *conclusion) scope() string {
	for _, g := range c.given {
		if g.used && c.codeOf(g.thing, sayInterval) == "computation-only" {
			return c.in(say.computationAlone)
		}
	}
	return ""
}

// addFlow adds a sentence with the number of a flow; where its label names none,
// that it does not, and why.
func (c *conclusion) addFlow(phrase wording, pairs ...string) {
	if c.flow.Label.IsZero() || c.flow.Label.Determined() {
		c.add(phrase, append(pairs, "unknown", "")...)
		return
	}
	whys := c.whyUnknown()
	c.add(phrase, append(pairs, "unknown", c.fill(say.unknown, "why", whys[0]))...)
	for _, why := range whys[1:] {
		c.add(say.besides, "why", why)
	}
}

func (c *conclusion) withoutFlow() bool { return c.flow.Measure == "" || c.flow.Value.IsAbsent() }

// shows tells whether a number is shown that a label is of.
func (c *conclusion) shows() bool { return c.beside || !c.withoutFlow() || len(c.singles()) > 0 }

// whoseFlow says which flow a number beside the report stands for, in the words of the
// conclusion: what it is and is not, why that is not known, and what contradicts it.
func whoseFlow(s *record.Session, l measure.Language) string {
	c := newConclusion(standingSession(s), l)
	c.beside = true
	switch label := c.flow.Label; {
	case !label.IsZero() && !label.Determined():
		c.add(say.unknownBeside, "why", strings.Join(c.whyUnknown(), "; "))
	case label.Flows.Contains(measure.Qs):
		c.add(say.isFlowToBody)
	}
	for _, speak := range []func(){c.also, c.notLeft, c.ofUnknown, c.notRight, c.contradiction} {
		speak()
	}
	return strings.Join(c.sentences, " ")
}

// singles says what single injections gave where the session has no value.
func (c *conclusion) singles() []string {
	var values []string
	for _, g := range c.given {
		if g.flow == nil || g.flow.Value.IsAbsent() || g.cause != "" {
			continue
		}
		value := c.inOrder(spokenOf(c.get(g.thing, sayOneByWeight)), spoken(g.flow.Value.Quantity), "")
		if reach := c.reach(g.flow.Value.Quantity, c.get(g.thing, sayUncertainty)); reach != "" && g.fromCurve() {
			value += " [" + reach + "]"
		}
		values = append(values, c.fill(say.single, "value", value, "at", c.moment(g.flow.At)))
	}
	return values
}

// numbers says the flow per kg first in small patients, else per area.
func (c *conclusion) numbers() string {
	perArea := c.value(sayIndexByArea)
	if perArea != "" {
		if area := c.of(sayArea); area != nil && area.Method != "" {
			perArea += ", " + wordsOfMethod(area.Method, c.language)
		}
	}
	return c.inOrder(c.value(sayIndexByWeight), spoken(c.flow.Value.Quantity), perArea)
}

// inOrder joins what is there of a flow.
func (c *conclusion) inOrder(perKg, plain, perArea string) string {
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
	weight, limit := c.of(sayWeight), c.of(sayWeightFirst)
	if weight == nil || limit == nil {
		return true
	}
	x, err := ucum.Convert(weight.Value.Quantity, "kg")
	y, err2 := ucum.Convert(limit.Value.Quantity, "kg")
	return err != nil || err2 != nil || x.Cmp(y) < 0
}

// get gives the first fact of a measure about a thing, nil where there is none.
func (c *conclusion) get(about record.Thing, key string) *record.Fact {
	return c.ofThings[slot{about, key}]
}

// of is get for the session itself.
func (c *conclusion) of(key string) *record.Fact { return c.ofSession[key] }

// value says a number of the session, "" where it has none.
func (c *conclusion) value(key string) string { return spokenOf(c.of(key)) }

func spokenOf(f *record.Fact) string {
	if f == nil || f.Value.Quantity.Number == "" {
		return ""
	}
	return spoken(f.Value.Quantity)
}

// code gives a coded value of the session, "" where it has none.
func (c *conclusion) code(key string) string { return codeIn(c.of(key)) }

// codeOf gives one about a thing.
func (c *conclusion) codeOf(about record.Thing, key string) string { return codeIn(c.get(about, key)) }

func codeIn(f *record.Fact) string {
	if f == nil {
		return ""
	}
	return f.Value.Code
}

func (c *conclusion) reason(code string) string {
	reason, ok := measure.ReasonOf(code)
	if !ok {
		reason, _ = measure.ReasonOf("input-missing")
	}
	return c.in(reason.Words)
}

// contradicted: nothing is said then but that it is the flow to the body.
func (c *conclusion) contradicted() bool { return c.code(sayContradicts) == "unanswered" }

// here gives a time by the clock at the place of the measurement.
func (c *conclusion) here(t record.Time) time.Time {
	if t.IsDate() {
		return t.Go()
	}
	return t.Go().In(c.time.Go().Location())
}

// clock says the time of day by that clock.
func (c *conclusion) clock(t record.Time) string {
	if t == "" || t.IsDate() {
		return string(t)
	}
	return c.here(t).Format("15:04")
}

// sameDay tells whether something was on the day of the measurement.
func (c *conclusion) sameDay(t record.Time) bool {
	return !t.IsDate() && c.here(t).Format(time.DateOnly) == c.here(c.time).Format(time.DateOnly)
}

// moment says a time: that of the day of the measurement by the clock alone.
func (c *conclusion) moment(t record.Time) string {
	switch {
	case t == "":
		return c.in(say.someTime)
	case t.IsDate():
		return c.fill(say.onDate, "date", string(t))
	case c.sameDay(t):
		return c.fill(say.at, "clock", c.clock(t))
	}
	return c.fill(say.on, "date", c.here(t).Format(time.DateOnly), "clock", c.clock(t))
}

// count writes a small number out.
func (c *conclusion) count(n int) string {
	if n >= 0 && n < len(countWords) {
		return c.in(countWords[n])
	}
	return strconv.Itoa(n)
}

func capital(s string) string {
	first, size := utf8.DecodeRuneInString(s)
	if size == 0 {
		return s
	}
	return string(unicode.ToUpper(first)) + s[size:]
}

// oneSentence gives a text of a person as a part of a sentence of ours.
func oneSentence(text string) string {
	return strings.TrimRight(strings.Join(strings.Fields(text), " "), ".")
}

// list joins "a", "b" and "c" as a sentence does.
func (c *conclusion) list(items []string) string {
	if len(items) < 2 {
		return strings.Join(items, "")
	}
	last := len(items) - 1
	return strings.Join(items[:last], ", ") + " " + c.in(say.and) + " " + items[last]
}

// childUntil is the age, in years, below which a patient is spoken of as a child.
const childUntil = 18

// always says what is always true.
func (c *conclusion) always() {
	if f := c.of(sayBirthDate); f != nil && f.Value.Time != "" {
		if !f.Value.Time.Go().AddDate(childUntil, 0, 0).After(c.session.Start.Go()) {
			c.add(say.alwaysAdult)
			return
		}
	}
	c.add(say.always)
}
