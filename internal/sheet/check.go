package sheet

import (
	"math/big"
	"slices"

	"saltmark/internal/finding"
	"saltmark/internal/source"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// Limits are what the site decides for Check.
type Limits struct {
	// Ranges are the plausible values and the limits of load.
	Ranges []Range
	// VerifierMayBeOperator lets the person who measured verify.
	VerifierMayBeOperator bool

	numbers map[string]*big.Rat // the bounds of the ranges, by their text
}

// DefaultLimits are those of a site that decides nothing.
func DefaultLimits() Limits { return Limits{Ranges: DefaultRanges()}.Prepare() }

// Prepare reads the bounds once for many sheets. Limits that are not prepared serve
// too.
func (l Limits) Prepare() Limits {
	l.numbers = map[string]*big.Rat{}
	for _, r := range l.Ranges {
		for _, text := range []string{r.Low, r.High, r.HardLow, r.HardHigh} {
			if x, ok := new(big.Rat).SetString(text); ok {
				l.numbers[text] = x
			}
		}
	}
	return l
}

// Check judges a session that has its settings and what derives from its facts:
// values across each other, the load, the verifier, and the written confirmations.
// Findings stand at the place of the value on the sheet, where the session was read
// from one.
func Check(s *record.Session, l Limits) finding.List {
	if l.numbers == nil {
		l = l.Prepare()
	}
	j := judge{s: s, numbers: l.numbers}
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
			var allowed finding.Text = "the rule that a finding names is wanted"
			if near, ok := source.Nearest(rule, confirmable); ok {
				allowed = finding.Say("did you mean {1}?", finding.Quoted(near))
			}
			j.add("confirmation-rule", j.place(f.Ref), finding.Say("{1} is {}", j.called(f.Ref)), rule, allowed)
		case slices.Contains(confirmable, rule) && !j.needed(c, rule, ranges):
			j.add("confirmation-not-needed", j.place(f.Ref), finding.Say("{1} is {}, and no value needs that confirmation as it is written", j.called(f.Ref)), rule,
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
			if m.shown == about.Value.Text && j.outside(m.value, ranges[i].Low, ranges[i].High, false) {
				return true
			}
		}
	}
	return false
}
