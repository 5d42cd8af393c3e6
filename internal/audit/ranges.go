package audit

import (
	"math/big"
	"strconv"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/source"
	"saltmark/internal/terms"
	"saltmark/internal/ucum"
)

// referenceRangeUnit: a reference range is in a unit of the dimension of its value, or it
// is the range of something else.
func referenceRangeUnit(c *check, r *resource) {
	for i, n := range r.parts() {
		value := n.Get("valueQuantity")
		unit := ucumCode(value)
		if unit == "" {
			continue
		}
		for k, of := range r4.Items(n, "referenceRange") {
			for _, end := range []string{"low", "high"} {
				if other := ucumCode(of.Get(end)); other != "" && c.isUCUM(unit) && c.isUCUM(other) && !ucum.Commensurable(unit, other) {
					c.say("reference-range-unit", of.Get(end), r.part(i, "/referenceRange/"+strconv.Itoa(k)+"/"+end), finding.Say("the value is in {1}, its reference range in {}", finding.Data(unit)), other, "a unit of the same dimension")
				}
			}
		}
	}
}

// ucumCode gives the unit code of a quantity that is one of UCUM, else "".
func ucumCode(quantity *source.Node) string {
	if r4.Text(quantity, "system") != terms.SystemUCUM {
		return ""
	}
	return r4.Text(quantity, "code")
}

// sampledDataLimits: the numbers by which sampled data are read make sense together.
func sampledDataLimits(c *check, r *resource) {
	for i, n := range r.parts() {
		s := n.Get("valueSampledData")
		if s == nil {
			continue
		}
		tell := func(member string, found finding.Text) {
			c.say("sampled-data-limits", s.Get(member), r.part(i, "/valueSampledData/"+member), found, "", "a period above nought, a factor that is not nought, a lower limit below the upper one")
		}
		nought := new(big.Rat)
		if period, ok := numberIn(s, "period"); ok && period.Cmp(nought) <= 0 {
			tell("period", "the time between samples is not above nought")
		}
		if factor, ok := numberIn(s, "factor"); ok && factor.Cmp(nought) == 0 {
			tell("factor", "the samples are multiplied by nought")
		}
		low, hasLow := numberIn(s, "lowerLimit")
		high, hasHigh := numberIn(s, "upperLimit")
		if hasLow && hasHigh && low.Cmp(high) >= 0 {
			tell("lowerLimit", "the lower limit is not below the upper one")
		}
	}
}
