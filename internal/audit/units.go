package audit

import (
	"math/big"
	"strconv"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/source"
	"saltmark/internal/terms"
	"saltmark/internal/trace"
	"saltmark/internal/ucum"
)

// isQuantity tells whether an object is a Quantity by its members: SampledData's
// origin and Range's ends among them.
func isQuantity(n *source.Node) bool {
	value := n.Get("value")
	return n.Get("coding") == nil && (value != nil && value.Kind == source.Number || n.Get("unit") != nil)
}

// unitWithoutSystem (qty-3): a unit code has a system.
func unitWithoutSystem(w *walk, _ string, n *source.Node) {
	if has(n, "code") && !has(n, "system") {
		w.report("unit-without-system", n, "a unit code has no system", "", "system "+terms.SystemUCUM)
	}
}

// unitNotUCUM: a code of UCUM is one by its grammar and tables, in a quantity and as a
// coding.
func unitNotUCUM(w *walk, _ string, n *source.Node) {
	if code := r4.Text(n, "code"); code != "" && r4.Text(n, "system") == terms.SystemUCUM && !w.isUCUM(code) {
		w.below("unit-not-ucum", n, "code", "the unit code is {}", code, "a UCUM code is wanted, such as L/min")
	}
}

// isUCUM remembers what it found, since a document repeats its units.
func (c *check) isUCUM(code string) bool {
	known, seen := c.units[code]
	if !seen {
		_, err := ucum.Parse(code)
		known = err == nil
		c.units[code] = known
	}
	return known
}

// unitOfMeasure: the unit of a value has the dimension that the table of measures
// gives for the LOINC or local code.
func unitOfMeasure(c *check, r *resource) {
	for i, n := range r.parts() {
		value := n.Get("valueQuantity")
		if unit := r4.Text(value, "code"); unit != "" && r4.Text(value, "system") == terms.SystemUCUM {
			c.unitOfPart(r, i, n, value, unit)
		}
	}
}

func (c *check) unitOfPart(r *resource, i int, n, value *source.Node, unit string) {
	for _, code := range r4.Items(n.Get("code"), "coding") {
		m := measureOf(coding{r4.Text(code, "system"), r4.Text(code, "code")})
		if m == nil || m.Unit == "" || m.AnyDimension || unit == m.Unit || c.isUCUM(unit) && ucum.Commensurable(unit, m.Unit) {
			continue
		}
		c.say("unit-of-measure", value, r.part(i, "/valueQuantity"), finding.Say("{1} is given in {}", m.TextFor(r.identity.ref.About.Key)), unit, finding.Say("a unit such as {1} is wanted", finding.Data(m.Unit)))
		return
	}
}

// simpleComparator (sqty-1): the origin of sampled data, the ends of a range, a dose and an
// amount are exact.
func simpleComparator(w *walk, _ string, n *source.Node) {
	if has(n, "comparator") {
		w.report("comparator-forbidden", n, finding.Say("the {1} has a comparator", finding.Data(w.name())), "", "FHIR R4 wants an exact quantity here")
	}
}

// comparatorForbidden: this program charts nothing that is only above or below a limit.
func comparatorForbidden(w *walk, _ string, holder, n *source.Node) {
	if w.whole() && isQuantity(holder) {
		w.report("comparator-forbidden", n, "the value has a comparator", "", "this program charts exact values only")
	}
}

// rangeBackward (rng-2): the lower end of a range is not above the higher one. Ends in
// different units are compared where both are of UCUM and of one dimension.
func rangeBackward(w *walk, _ string, n *source.Node) {
	low, high := n.Get("low"), n.Get("high")
	a, okA := numberIn(low, "value")
	b, okB := numberIn(high, "value")
	if !okA || !okB {
		return
	}
	if r4.Text(low, "code") != r4.Text(high, "code") || r4.Text(low, "unit") != r4.Text(high, "unit") {
		var err error
		if a, err = ucum.Convert(ucum.Quantity{Number: low.Get("value").Text, Unit: ucumCode(low)}, ucumCode(high)); err != nil {
			return
		}
	}
	if a.Cmp(b) > 0 {
		w.report("range-backward", n, "the low end of the range is above the high one", "", "low is at or below high")
	}
}

// numberIn reads a member that is a number.
func numberIn(n *source.Node, member string) (*big.Rat, bool) {
	value := n.Get(member)
	if value == nil || value.Kind != source.Number {
		return nil, false
	}
	return new(big.Rat).SetString(value.Text)
}

// sampledData: the text of sampled data holds decimals and the letters E, L, U,
// one space between, in whole rows; the reference engine does not look inside it.
func sampledData(c *check, r *resource) {
	for i, n := range r.parts() {
		s := n.Get("valueSampledData")
		if s == nil || r4.Text(s, "data") == "" {
			continue
		}
		dimensions := 1
		if d := s.Get("dimensions"); d != nil {
			dimensions, _ = strconv.Atoi(d.Text)
		}
		for k, problem := range trace.CheckData(r4.Text(s, "data"), dimensions, s.Get("lowerLimit") != nil, s.Get("upperLimit") != nil) {
			if k == 3 {
				break
			}
			found, allowed := problem.Sentence()
			c.say("sampled-data-text", s.Get("data"), r.part(i, "/valueSampledData/data"), found, problem.Text, allowed)
		}
	}
}

// name gives the name of the member that holds the value which is visited.
func (w *walk) name() string { return w.nameAt(1) }

// holderName gives the name of the member that holds the object around the value
// which is visited.
func (w *walk) holderName() string { return w.nameAt(2) }

func (w *walk) nameAt(level int) string {
	names := 0
	for i := len(w.trail) - 1; i >= 0; i-- {
		if w.trail[i].Name == "" {
			continue
		}
		if names++; names == level {
			return w.trail[i].Name
		}
	}
	return ""
}
