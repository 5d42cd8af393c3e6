package derive

import (
	"math/big"

	"saltmark/internal/ucum"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// reportedMean is the mean of a value that the monitor reported, over the injections
// that entered the session's flow: all of them must have it. Where one lacks it the
// session has none, for the reason of the first that does (not shown, out of range).
// The bound of a value out of range stays with its injection.
func reportedMean(w *work, c *call) made { return w.mean(c, true) }

// conditionMean is the mean of a condition at the injections (heart rate,
// pressures), by the same rule; it keeps the digits of the sheet.
func conditionMean(w *work, c *call) made { return w.mean(c, false) }

func (w *work) mean(c *call, capped bool) made {
	sum := new(big.Rat)
	var sources []ucum.Quantity
	var from []record.Ref
	for _, f := range c.each {
		x := number(f, c.m.Unit)
		if x == nil {
			return absent("input-missing")
		}
		sum.Add(sum, x)
		if q, ok := written(f, c.m.Unit); ok {
			sources = append(sources, q)
		}
		if carrier := w.carrier(f); carrier != nil {
			from = append(from, carrier.Ref)
		}
	}
	sum.Quo(sum, big.NewRat(int64(len(c.each)), 1))
	return quantity(c.m.Chart(sum, capped, sources...), from...)
}

// carrier gives the fact with the Observation that a fact about an injection stands
// in: itself, or the injection.
func (w *work) carrier(f *record.Fact) *record.Fact {
	if in := measure.Get(f.Measure).In; in != "" {
		return w.get(f.About, in)
	}
	return f
}
