package audit

import (
	"strconv"

	"saltmark/internal/source"
	"saltmark/internal/terms"
	"saltmark/internal/trace"
	"saltmark/internal/ucum"
	"saltmark/mapping/measure"
)

// isQuantity tells whether an object is a Quantity by its members: SampledData's
// origin and Range's ends among them.
func isQuantity(n *source.Node) bool {
	return n.Kind == source.Object && n.Get("code") != nil && n.Get("coding") == nil && (n.Get("value") != nil || n.Get("unit") != nil)
}

// unitWithoutSystem (qty-3): a unit code has a system.
func unitWithoutSystem(w *walk, _ string, n *source.Node) {
	if isQuantity(n) && textAt(n, "system") == "" {
		w.report("unit-without-system", n, "a unit code has no system", "", "system "+terms.SystemUCUM)
	}
}

// unitNotUCUM: a code of UCUM is one by its grammar and tables.
func unitNotUCUM(w *walk, _ string, n *source.Node) {
	if !isQuantity(n) || textAt(n, "system") != terms.SystemUCUM {
		return
	}
	code := textAt(n, "code")
	if _, err := ucum.Parse(code); err != nil {
		w.below("unit-not-ucum", n, "code", "the unit code is {}", code, "a UCUM code is wanted, such as L/min")
	}
}

// unitOfMeasure: the unit of a value fits its code: the dimension that the table
// of measures gives for the LOINC or local code, and for codes of ours the very
// spelling.
func unitOfMeasure(c *check, r *resource) {
	for _, p := range append([]placed{{r.node, r.pointer}}, valuesOf(placed{r.node, r.pointer}, "component")...) {
		value := p.node.Get("valueQuantity")
		if value == nil {
			continue
		}
		unit := textAt(value, "code")
		for _, code := range codingsOf(p.node.Get("code")) {
			m := measureOf(code)
			if m == nil || m.Unit == "" || m.AnyDimension || ucum.Commensurable(unit, m.Unit) {
				continue
			}
			c.say("unit-of-measure", value, p.pointer+"/valueQuantity", m.Words+" is given in {}", unit, "a unit such as "+m.Unit+" is wanted")
			break
		}
	}
}

// sampledData: the text of sampled data holds decimals and the letters E, L, U,
// one space between, in whole rows; the reference engine does not look inside it.
func sampledData(c *check, r *resource) {
	for _, p := range append([]placed{{r.node, r.pointer}}, valuesOf(placed{r.node, r.pointer}, "component")...) {
		s := p.node.Get("valueSampledData")
		if s == nil || textAt(s, "data") == "" {
			continue
		}
		dimensions := 1
		if d := s.Get("dimensions"); d != nil {
			dimensions, _ = strconv.Atoi(d.Text)
		}
		for i, problem := range trace.CheckData(textAt(s, "data"), dimensions, s.Get("lowerLimit") != nil, s.Get("upperLimit") != nil) {
			if i == 3 {
				break
			}
			found, allowed := problem.Sentence()
			c.say("sampled-data-text", s.Get("data"), p.pointer+"/valueSampledData/data", found, "", allowed)
		}
	}
}

// measureOf gives the row of a published or local code, nil where none has it.
func measureOf(c coding) *measure.Measure { return codeIndex()[c.code] }
