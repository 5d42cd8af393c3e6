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
