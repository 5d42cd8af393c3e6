package sheet

import (
	"math/big"
	"slices"

	"saltmark/internal/finding"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

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
	rule := r.Rule
	var allowed finding.Text
	switch {
	case j.outside(m.value, r.HardLow, r.HardHigh, true):
		rule = "impossible-value"
		allowed = finding.Say("a value {1} is possible; no confirmation lifts this", bounds(beyond(r.HardLow, r.HardHigh), r.UnitOf()))
	case !j.outside(m.value, r.Low, r.High, false):
		return false
	case isLoad(r):
		allowed = finding.Say("{1} is the limit of this site", plausible(r))
	case j.confirmed(r.Rule, m.shown):
		return false
	default:
		allowed = finding.Say("{1} is plausible; if it is right, confirm it on the sheet: confirmations with rule {2} and this value", plausible(r), finding.Data(r.Rule))
	}
	f := finding.New(rule, j.place(m.fact.Ref), finding.Say("{1}{2} is {}", j.called(m.fact.Ref), dividedBy(r.By)), m.shown, allowed)
	if private(measure.Get(m.fact.Measure)) {
		f = f.Hide()
	}
	j.list = append(j.list, f)
	return true
}

// plausible says what is plausible of a range.
func plausible(r *Range) finding.Text { return bounds(between(r.Low, r.High), r.UnitOf()) }

// dividedBy says by what a value was divided.
func dividedBy(by []string) finding.Text {
	var words finding.Text
	for i, key := range by {
		if i > 0 && key == by[i-1] {
			continue
		}
		divisor := wordsOf(key, "")
		if i+1 < len(by) && by[i+1] == key {
			divisor = finding.Say("the square of {1}", divisor)
		}
		if words == "" {
			words = divisor
		} else {
			words = finding.Say("{1} and by {2}", words, divisor)
		}
	}
	if words == "" {
		return ""
	}
	return finding.Say(", divided by {1},", words)
}

func between(low, high string) finding.Text {
	switch {
	case low == "":
		return finding.Say("at most {1}", finding.Data(high))
	case high == "":
		return finding.Say("at least {1}", finding.Data(low))
	}
	return finding.Say("{1} to {2}", finding.Data(low), finding.Data(high))
}

func beyond(low, high string) finding.Text {
	switch {
	case low == "":
		return finding.Say("below {1}", finding.Data(high))
	case high == "":
		return finding.Say("above {1}", finding.Data(low))
	}
	return finding.Say("above {1} and below {2}", finding.Data(low), finding.Data(high))
}

func bounds(words finding.Text, unit string) finding.Text {
	if unit == "1" {
		return words
	}
	return finding.Say("{1} {2}", words, finding.Data(unit))
}

// outside tells whether a value lies outside limits; open limits are outside
// themselves.
func (j *judge) outside(x *big.Rat, low, high string, open bool) bool {
	for _, b := range []struct {
		text string
		sign int
	}{{low, -1}, {high, 1}} {
		if bound := j.numbers[b.text]; bound != nil {
			c := x.Cmp(bound) * b.sign
			if c > 0 || open && c == 0 {
				return true
			}
		}
	}
	return false
}
