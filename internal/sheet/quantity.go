package sheet

import (
	"errors"
	"math/big"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/source"
	"saltmark/internal/ucum"
	"saltmark/mapping/record"
)

// What a monitor may show instead of a value. The words are those of the sheet,
// the reasons those of the table of measures.
const notShown = "not-shown"

var beyondRange = []struct{ word, reason string }{
	{"below", "below-range"},
	{"above", "above-range"},
}

// quantity reads a number with its unit or, where a monitor reports, what it
// showed instead.
func (c *scalars) quantity(sp *spot, n *source.Node, pointer string) (record.Value, bool) {
	if sp.form == asReported {
		if n.Text == notShown {
			return record.Value{Absent: record.Absence{Reason: notShown}}, true
		}
		for _, b := range beyondRange {
			if bound, ok := strings.CutPrefix(n.Text, b.word+" "); ok {
				q, ok := c.measured(sp, n, pointer, bound)
				return record.Value{Absent: record.Absence{Reason: b.reason, Bound: q}}, ok
			}
		}
	}
	q, ok := c.measured(sp, n, pointer, n.Text)
	return record.Value{Quantity: q}, ok
}

// measured gives a written quantity in the unit of its measure, every digit kept.
func (c *scalars) measured(sp *spot, n *source.Node, pointer, written string) (ucum.Quantity, bool) {
	m := sp.row
	q, err := ucum.ParseQuantity(written)
	if err != nil {
		c.unreadable(sp, n, pointer, err)
		return q, false
	}
	if m.AnyDimension {
		return q, c.sized(sp, n, pointer, q)
	}
	if !ucum.Commensurable(q.Unit, m.Unit) {
		c.fault(sp, "unit-dimension", n, pointer, finding.Say(" ({1})", dimension(q.Unit)), finding.Say("{1} is wanted, {2}", wanted(sp), example(sp, q.Number)))
		return q, false
	}
	charted, same, err := q.In(m.Unit)
	if err != nil || !same {
		c.fault(sp, "unit-not-charted", n, pointer, "", finding.Say("the unit {1} is wanted, or one that differs from it by a power of ten: nothing is rounded here", finding.Data(m.Unit)))
		return q, false
	}
	return charted, c.sized(sp, n, pointer, charted)
}

// sized judges the sign of a value and the share that was meant as a percentage.
func (c *scalars) sized(sp *spot, n *source.Node, pointer string, q ucum.Quantity) bool {
	m, x := sp.row, q.Rat()
	switch {
	case x.Sign() < 0 && !m.Signed:
		c.fault(sp, "value-negative", n, pointer, "", "a value below zero is not possible here")
	case x.Sign() == 0 && !m.Signed && !m.Zero:
		c.fault(sp, "value-zero", n, pointer, "", "zero is not possible here; a value that is not known is left out")
	case m.Unit == "%" && x.Sign() > 0 && x.Cmp(big.NewRat(1, 1)) <= 0:
		var allowed finding.Text = "a percentage is wanted, not a share"
		if share, ok, err := (ucum.Quantity{Number: q.Number, Unit: "1"}).In("%"); err == nil && ok && !sp.private {
			allowed = finding.Say("a percentage is wanted, not a share: perhaps {1}", finding.Quoted(share.String()))
		}
		c.fault(sp, "percent-as-share", n, pointer, "", allowed)
	default:
		return true
	}
	return false
}

// quantityRules names the rule that each fault of a written quantity breaks.
var quantityRules = map[ucum.Fault]string{
	ucum.FaultNoUnit: "unit-missing",
	ucum.FaultUnit:   "unit-unknown",
}

// unreadable says what is wrong with a text that is no quantity.
func (c *scalars) unreadable(sp *spot, n *source.Node, pointer string, err error) {
	var e *ucum.QuantityError
	if !errors.As(err, &e) {
		c.fault(sp, "quantity-form", n, pointer, "", finding.Say("{1} is wanted, {2}", wanted(sp), example(sp, "")))
		return
	}
	rule, allowed := quantityRules[e.Fault], finding.Say("{1} is wanted, {2}", wanted(sp), example(sp, ""))
	switch {
	case rule == "unit-missing":
		allowed = finding.Say("{1} with its unit is wanted, {2}", wanted(sp), example(sp, strings.TrimSpace(e.Text)))
	case rule == "":
		rule, allowed = "quantity-form", finding.Say("{1} is wanted", e.Allowed)
		fallthrough
	default:
		if e.Suggestion != "" && !sp.private {
			allowed = finding.Say("did you mean {1}? {2}", finding.Quoted(e.Suggestion), allowed)
		}
	}
	c.fault(sp, rule, n, pointer, "", allowed)
}

// wanted says what is measured here: "a volume".
func wanted(sp *spot) finding.Text {
	if sp.row.AnyDimension {
		return "a quantity"
	}
	words := dimension(sp.row.Unit)
	english := words.String()
	switch {
	case strings.HasPrefix(english, "a "):
		return words
	case strings.ContainsAny(english[:1], "aeiou"):
		return finding.Say("an {1}", words)
	}
	return finding.Say("a {1}", words)
}

func dimension(unit string) finding.Text {
	u, err := ucum.Parse(unit)
	if err != nil {
		return "a unit that is not known"
	}
	return u.Dimension().Words()
}

// example shows how a value is written, with the number that stands on the sheet
// where it may be shown: no number is made up.
func example(sp *spot, number string) finding.Text {
	if number == "" || sp.private || ucum.CheckNumber(number) != nil {
		return finding.Say("written as a number, one space and the unit {1}", finding.Data(sp.row.Unit))
	}
	return finding.Say("for example {1}", finding.Quoted(number+" "+sp.row.Unit))
}

// writeReported gives the words for what a monitor showed instead of a value; ok
// is false for an absence that no sheet can state.
func writeReported(a record.Absence) (string, bool) {
	if a.Reason == notShown {
		return notShown, true
	}
	for _, b := range beyondRange {
		if a.Reason == b.reason && a.Bound.Number != "" {
			return b.word + " " + a.Bound.String(), true
		}
	}
	return "", false
}
