package sheet_test

import (
	"fmt"
	"math/big"
	"slices"
	"testing"

	"saltmark/internal/finding"
	"saltmark/internal/sheet"
	"saltmark/internal/ucum"
	"saltmark/mapping/measure"
)

func rules(list finding.List) (rules []string) {
	for _, f := range list {
		rules = append(rules, f.Rule)
	}
	return rules
}

const confirmation = "confirmations: [{number: 1, at: 2031-05-03T14:50:00+02:00, rule: plausible-indicator-per-kg, value: 8.33 mL/kg, why: weighed twice, by: demo-person-9}]\n"

func TestAConfirmationLiftsWhatItQuotes(t *testing.T) {
	large := changed(t, "volume: 2.5 mL", "volume: 25.0 mL")
	if got := rules(sheet.Check(mustRead(t, large), sheet.DefaultLimits())); !slices.Equal(got, []string{"plausible-indicator-per-kg"}) {
		t.Errorf("without a confirmation: %q", got)
	}
	if got := sheet.Check(mustRead(t, large+confirmation), sheet.DefaultLimits()); len(got) != 0 {
		t.Errorf("with it: %q", texts(got))
	}
	larger := changed(t, "volume: 2.5 mL", "volume: 26.0 mL")
	if got := rules(sheet.Check(mustRead(t, larger+confirmation), sheet.DefaultLimits())); !slices.Contains(got, "plausible-indicator-per-kg") {
		t.Errorf("after a correction the confirmation still counts: %q", got)
	}
}

func TestNoConfirmationLiftsTheImpossible(t *testing.T) {
	impossible := changed(t, "volume: 2.5 mL", "volume: 30.0 mL") + `confirmations: [{number: 1, at: 2031-05-03T14:50:00+02:00, rule: plausible-indicator-per-kg, value: 10.0 mL/kg, why: weighed twice, by: demo-person-9}]` + "\n"
	if got := rules(sheet.Check(mustRead(t, impossible), sheet.DefaultLimits())); !slices.Contains(got, "impossible-value") {
		t.Errorf("a value at the second limit passes: %q", got)
	}
}

func TestASiteMayLetTheOperatorVerify(t *testing.T) {
	s := mustRead(t, plain+"verified: {by: demo-person-7, at: 2031-05-03T14:50:00+02:00}\n")
	limits := sheet.DefaultLimits()
	if got := rules(sheet.Check(s, limits)); !slices.Equal(got, []string{"verifier-is-operator"}) {
		t.Errorf("by default: %q", got)
	}
	limits.VerifierMayBeOperator = true
	if got := sheet.Check(s, limits); len(got) != 0 {
		t.Errorf("where it is allowed: %q", texts(got))
	}
}

func dimension(t *testing.T, unit string) ucum.Dimension {
	t.Helper()
	u, err := ucum.Parse(unit)
	if err != nil {
		t.Fatal(err)
	}
	return u.Dimension()
}

// TestRangesAreSound: each names measures that there are, has a source, a unit of
// the quotient, and limits in rising order.
func TestRangesAreSound(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range sheet.DefaultRanges() {
		name := r.Rule + " of " + r.Of
		if r.Source == "" {
			t.Errorf("%s has no source", name)
		}
		if r.HardLow == "" && r.HardHigh == "" {
			t.Errorf("%s has no limit that cannot be confirmed", name)
		}
		quotient := dimension(t, measure.Get(r.Of).Unit)
		for _, by := range r.By {
			quotient = quotient.Per(dimension(t, measure.Get(by).Unit))
		}
		if quotient != dimension(t, r.UnitOf()) {
			t.Errorf("%s is a %s, not in %s", name, quotient, r.UnitOf())
		}
		var before *big.Rat
		for _, limit := range []string{r.HardLow, r.Low, r.High, r.HardHigh} {
			x, ok := new(big.Rat).SetString(limit)
			if !ok {
				continue
			}
			if before != nil && x.Cmp(before) <= 0 {
				t.Errorf("%s: %s is not above the limit before it", name, limit)
			}
			before = x
		}
		key := fmt.Sprint(name, r.By, r.FromDays)
		if seen[key] {
			t.Errorf("%s stands twice", key)
		}
		seen[key] = true
	}
}
