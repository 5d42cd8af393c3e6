package derive

import (
	"math/big"

	"saltmark/internal/dilution"
	"saltmark/internal/finding"
	"saltmark/internal/ucum"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// CheckComputed holds what a session says was computed from its curves against what the
// curves give now: text and codes the same, numbers to one unit in the last digit that
// was charted, as another machine may round. A fault of a recording that is not there is
// told too. What another version of the computation
// gave is not compared, and that is said. Values whose curves the session does not carry
// cannot be proved.
func CheckComputed(s *record.Session, computed []Computed) finding.List {
	w := newWork(s, withComputed(s, strip(s, len(derivations)), computed))
	w.standsBeside(computed)
	w.run()
	again := make(map[record.Ref]*record.Fact, len(w.facts))
	for i := range w.facts {
		if f := &w.facts[i]; f.Origin == record.Recomputed && !w.isGone(i) {
			again[f.Ref] = f
		}
	}
	c := checker{session: s, work: w}
	gone := takenBack(s, s.Facts)
	for i := range s.Facts {
		f := &s.Facts[i]
		if f.Origin != record.Recomputed || i < len(gone) && gone[i] {
			continue
		}
		switch given := computedOf(computed, f.About); {
		case given == nil && f.About.Kind == measure.Injection:
		case given != nil && !c.sameVersion(f.About):
			if f.Measure == versionKey {
				c.tell("recomputed-version", f, "the curves were computed by version {} of the computation", f.Value.Text, finding.Say("this program has version {1}, by which a number may differ; they were not compared", finding.Data(dilution.Version)))
			}
		default:
			c.compareComputed(f, again[f.Ref])
		}
	}
	for i := range w.facts {
		f := &w.facts[i]
		if isFault(f.Measure) && again[f.Ref] == f && s.Find(f.About, f.Measure, record.Recomputed) == nil && c.computedByUs(f.About) {
			c.tell("recomputed-value", f, "{1} is not there", "", finding.Say("from the curves it is {1}", shown(f.Value)))
		}
	}
	c.findings.Sort()
	return c.findings
}

// computedByUs tells whether the record says that an injection was computed, by this
// version of the computation.
func (c *checker) computedByUs(injection record.Thing) bool {
	return c.session.Find(injection, versionKey, record.Recomputed) != nil && c.sameVersion(injection)
}

// versionKey is the measure that says which version computed.
const versionKey = "computation-version"

func (c *checker) sameVersion(injection record.Thing) bool {
	f := c.session.Find(injection, versionKey, record.Recomputed)
	return f == nil || f.Value.Text == dilution.Version
}

// compareComputed tells how a fact differs from what the curves give now, nil for
// nothing.
func (c *checker) compareComputed(f, again *record.Fact) {
	switch {
	case again == nil:
		c.tellValue("recomputed-value", f, "from the curves nothing of the kind follows")
	case f.Measure == "computation-recipe" && f.Value != again.Value:
		c.tell("recomputed-recipe", f, "{1} is not that of the session", "", "what was computed came of other curves or values than stand here")
	case f.Value != again.Value && !oneUnitApart(f.Value.Quantity, again.Value.Quantity):
		c.tellValue("recomputed-value", f, finding.Say("from the curves it is {1}", shown(again.Value)))
	}
}

// oneUnitApart tells whether two numbers differ by one unit in their last digit or less.
func oneUnitApart(a, b ucum.Quantity) bool {
	x, y := a.Rat(), b.Rat()
	if x == nil || y == nil || a.Unit != b.Unit {
		return false
	}
	unit := new(big.Rat).SetFrac(big.NewInt(1), new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(min(a.Decimals(), b.Decimals()))), nil))
	return x.Sub(x, y).Abs(x).Cmp(unit) <= 0
}
