package sheet

import (
	"math/big"
	"slices"

	"saltmark/internal/finding"
	"saltmark/internal/source"
	"saltmark/internal/ucum"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// Limits are what the site decides for Check.
type Limits struct {
	// Ranges are the plausible values and the limits of load.
	Ranges []Range
	// VerifierMayBeOperator lets the person who measured verify.
	VerifierMayBeOperator bool
}

// DefaultLimits are those of a site that decides nothing.
func DefaultLimits() Limits { return Limits{Ranges: DefaultRanges()} }

// Check judges a session that has its settings and what derives from its facts:
// values across each other, the load, the verifier, and the written confirmations. Findings stand at the place of the value on the
// sheet, where the session was read from one.
func Check(s *record.Session, l Limits) finding.List {
	j := judge{s: s}
	j.verifier(l)
	j.ranges(l.Ranges)
	j.confirmations(l.Ranges)
	j.list.Sort()
	return j.list
}

func (j *judge) verifier(l Limits) {
	if v := j.s.Verification; v.By != "" && v.By == j.s.Operator && !l.VerifierMayBeOperator {
		j.addHidden("verifier-is-operator", j.field("verified.by"), "verified.by is {}, who is the operator", v.By, "somebody else verifies, unless the settings of the site allow it")
	}
}

// measured is a value held against a range.
type measured struct {
	fact  *record.Fact // the measure itself
	value *big.Rat
	shown string // as a sentence and a confirmation say it
}

// ranges holds the values against their ranges. One fault gives one finding: what
// a value that is wrong in itself makes of others is not said again, nor what such
// values make of the load.
func (j *judge) ranges(ranges []Range) {
	days, known := AgeInDays(j.s)
	wrong := map[string]bool{}    // measures that have a value wrong in itself
	told := map[record.Ref]bool{} // facts with a finding
	for _, pass := range []func(*Range) bool{
		func(r *Range) bool { return len(r.By) == 0 && !isLoad(r) },
		func(r *Range) bool { return len(r.By) > 0 },
		func(r *Range) bool { return isLoad(r) && !j.list.HasErrors() },
	} {
		for i := range ranges {
			r := &ranges[i]
			if !pass(r) || (r.FromDays != 0 || r.ToDays != 0) && (!known || days < r.FromDays || days >= r.ToDays) ||
				slices.ContainsFunc(r.By, func(by string) bool { return wrong[by] }) {
				continue
			}
			for _, m := range j.valuesOf(r) {
				if !told[m.fact.Ref] && j.hold(m, r) {
					told[m.fact.Ref] = true
					wrong[r.Of] = wrong[r.Of] || len(r.By) == 0
				}
			}
		}
	}
}

// isLoad tells whether a range is a limit of load, which nobody has to confirm.
func isLoad(r *Range) bool { return r.Rule == "load-limit" }

// hold holds one value against a range and tells whether it gave a finding.
func (j *judge) hold(m measured, r *Range) bool {
	var rule, allowed string
	plausible := bounds(between(r.Low, r.High), r.UnitOf())
	switch {
	case outside(m.value, r.HardLow, r.HardHigh, true):
		rule, allowed = "impossible-value", bounds("a value "+beyond(r.HardLow, r.HardHigh), r.UnitOf())+" is possible; no confirmation lifts this"
	case !outside(m.value, r.Low, r.High, false):
		return false
	case isLoad(r):
		rule, allowed = r.Rule, plausible+" is the limit of this site"
	case j.confirmed(r.Rule, m.shown):
		return false
	default:
		rule, allowed = r.Rule, plausible+" is plausible; if it is right, confirm it on the sheet: confirmations with rule "+r.Rule+" and this value"
	}
	f := finding.New(rule, j.place(m.fact.Ref), j.called(m.fact.Ref)+dividedBy(r.By)+" is {}", m.shown, allowed)
	if private(measure.Get(m.fact.Measure)) {
		f = f.Hide()
	}
	j.list = append(j.list, f)
	return true
}

// dividedBy says by what a value was divided.
func dividedBy(by []string) string {
	var words string
	for i, key := range by {
		switch {
		case i > 0 && key == by[i-1]:
			continue
		case i > 0:
			words += " and"
		}
		words += " by "
		if i+1 < len(by) && by[i+1] == key {
			words += "the square of "
		}
		words += measure.Get(key).WordsFor("")
	}
	if words == "" {
		return ""
	}
	return ", divided" + words + ","
}

func between(low, high string) string {
	switch {
	case low == "":
		return "at most " + high
	case high == "":
		return "at least " + low
	}
	return low + " to " + high
}

func beyond(low, high string) string {
	switch {
	case low == "":
		return "below " + high
	case high == "":
		return "above " + low
	}
	return "above " + low + " and below " + high
}

func bounds(words, unit string) string {
	if unit == "1" {
		return words
	}
	return words + " " + unit
}

// outside tells whether a value lies outside limits; open limits are outside
// themselves.
func outside(x *big.Rat, low, high string, open bool) bool {
	for _, b := range []struct {
		text string
		sign int
	}{{low, -1}, {high, 1}} {
		if bound, ok := new(big.Rat).SetString(b.text); ok {
			c := x.Cmp(bound) * b.sign
			if c > 0 || open && c == 0 {
				return true
			}
		}
	}
	return false
}

// valuesOf gives what a range speaks of: one value, or one for each thing that
// has one of its measures. Values of excluded injections are not held against
// what is plausible: that is why they are excluded.
func (j *judge) valuesOf(r *Range) []measured {
	things := j.thingsWith(append([]string{r.Of}, r.By...))
	var values []measured
	for _, t := range things {
		of := j.valueOf(t, r.Of)
		if of == nil || t.Kind == measure.Injection && j.excluded(t) {
			continue
		}
		x, shown := of.Value.Quantity.Rat(), of.Value.Quantity.String()
		q, ok := of.Value.Quantity, x != nil
		for i, by := range r.By {
			divisor := j.valueOf(t, by)
			if divisor == nil {
				ok = false
				break
			}
			q, ok = divide(q, divisor.Value.Quantity, r.UnitOf(), i == len(r.By)-1)
			if !ok {
				break
			}
		}
		if !ok {
			continue
		}
		if len(r.By) > 0 {
			x, _ = new(big.Rat).SetString(q.Number)
			shown = shortly(x) + " " + r.UnitOf()
		}
		values = append(values, measured{of, x, shown})
	}
	return farthest(values)
}

// farthest keeps of the values of one fact, which may be held against several
// others, the smallest and the largest: to confirm these is to confirm all.
func farthest(values []measured) []measured {
	var kept []measured
	for _, v := range values {
		of := func(m measured) bool { return m.fact.Ref == v.fact.Ref }
		smaller := func(m measured) bool { return of(m) && m.value.Cmp(v.value) < 0 }
		larger := func(m measured) bool { return of(m) && m.value.Cmp(v.value) > 0 }
		again := func(m measured) bool { return of(m) && m.value.Cmp(v.value) == 0 }
		if slices.ContainsFunc(values, smaller) && slices.ContainsFunc(values, larger) || slices.ContainsFunc(kept, again) {
			continue
		}
		kept = append(kept, v)
	}
	return kept
}

// divide gives the exact quotient, as a fraction in its Number: of the units as
// they are until the last, then of the unit of the range.
func divide(a, b record.Quantity, unit string, last bool) (record.Quantity, bool) {
	if !last {
		unit = a.Unit + "/(" + b.Unit + ")"
	}
	x, ok := new(big.Rat).SetString(a.Number)
	y := b.Rat()
	if !ok || y == nil || y.Sign() == 0 {
		return record.Quantity{}, false
	}
	factor, err := ucum.Quo(record.Quantity{Number: "1", Unit: a.Unit}, record.Quantity{Number: "1", Unit: b.Unit}, unit)
	if err != nil {
		return record.Quantity{}, false
	}
	x.Mul(x.Quo(x, y), factor)
	return record.Quantity{Number: x.RatString(), Unit: unit}, true
}

// shortly gives a number with three digits that tell, as a confirmation quotes it.
func shortly(x *big.Rat) string {
	size := new(big.Rat).Abs(x)
	decimals := 0
	for limit := big.NewRat(100, 1); decimals < 6 && size.Cmp(limit) < 0; decimals++ {
		limit.Quo(limit, big.NewRat(10, 1))
	}
	return ucum.Round(x, decimals)
}

// thingsWith gives the things, other than the session, that have one of the
// measures; the session where there is none.
func (j *judge) thingsWith(keys []string) []record.Thing {
	var things []record.Thing
	for i := range j.s.Facts {
		f := &j.s.Facts[i]
		if f.About.Kind != measure.Session && slices.Contains(keys, f.Measure) && !slices.Contains(things, f.About) {
			things = append(things, f.About)
		}
	}
	if things == nil {
		return []record.Thing{record.TheSession}
	}
	return things
}

// valueOf gives the quantity of a measure about a thing or, where it has none,
// about the session.
func (j *judge) valueOf(t record.Thing, key string) *record.Fact {
	for _, about := range []record.Thing{t, record.TheSession} {
		if f := j.s.Get(about, key); f != nil {
			if f.Value.Quantity.Number == "" {
				return nil
			}
			return f
		}
	}
	return nil
}

// AgeInDays gives the age of the subject at the session in whole days, from the
// date of birth or as stated; known is false where the sheet says neither.
func AgeInDays(s *record.Session) (days int, known bool) {
	if birth := s.Get(record.TheSession, "birth-date"); birth != nil && s.Start != "" {
		return daysLived(birth.Value.Time, s.Start), true
	}
	if age := s.Get(record.TheSession, "age"); age != nil {
		if x := age.Value.Quantity.Rat(); x != nil {
			whole := new(big.Int).Quo(x.Num(), x.Denom())
			return int(whole.Int64()), whole.IsInt64()
		}
	}
	return 0, false
}

// confirmed tells whether the sheet confirms a value by its rule. The value is
// quoted, so that a confirmation does not outlive a correction.
func (j *judge) confirmed(rule, shown string) bool {
	for _, c := range j.s.Things(measure.Confirmation) {
		named, about := j.s.Get(c, "confirmed-rule"), j.s.Get(c, "confirmed-about")
		if named != nil && about != nil && named.Value.Text == rule && about.Value.Text == shown {
			return true
		}
	}
	return false
}

// confirmations judges that each names a rule, and a value that needs it.
func (j *judge) confirmations(ranges []Range) {
	var rules, confirmable []string
	for _, r := range finding.Rules() {
		rules = append(rules, r.ID)
	}
	for _, r := range ranges {
		confirmable = append(confirmable, r.Rule)
	}
	for _, c := range j.s.Things(measure.Confirmation) {
		f := j.s.Get(c, "confirmed-rule")
		if f == nil {
			continue
		}
		rule := f.Value.Text
		switch {
		case !slices.Contains(rules, rule):
			allowed := "the rule that a finding names is wanted"
			if near, ok := source.Nearest(rule, confirmable); ok {
				allowed = "did you mean " + finding.Quote(near) + "?"
			}
			j.add("confirmation-rule", j.place(f.Ref), j.called(f.Ref)+" is {}", rule, allowed)
		case slices.Contains(confirmable, rule) && !j.needed(c, rule, ranges):
			j.add("confirmation-not-needed", j.place(f.Ref), j.called(f.Ref)+" is {}, and no value needs that confirmation as it is written", rule,
				"the value must be quoted as the finding shows it")
		}
	}
}

// needed tells whether a value outside its limits is quoted by a confirmation.
func (j *judge) needed(confirmation record.Thing, rule string, ranges []Range) bool {
	about := j.s.Get(confirmation, "confirmed-about")
	if about == nil {
		return false
	}
	for i := range ranges {
		if ranges[i].Rule != rule {
			continue
		}
		for _, m := range j.valuesOf(&ranges[i]) {
			if m.shown == about.Value.Text && outside(m.value, ranges[i].Low, ranges[i].High, false) {
				return true
			}
		}
	}
	return false
}
