package derive

import (
	"slices"
	"testing"

	"saltmark/mapping/measure"
)

func TestEveryDerivedMeasureIsMadeByOneRow(t *testing.T) {
	made := map[string]bool{}
	for _, d := range derivations {
		m := measure.Get(d.makes)
		switch {
		case m == nil:
			t.Errorf("%s is no measure", d.makes)
			continue
		case made[d.makes]:
			t.Errorf("%s is made twice", d.makes)
		case d.about == "" && !m.Has(measure.Session), d.about != "" && !m.Has(d.about):
			t.Errorf("%s is made about %q", d.makes, d.about)
		}
		made[d.makes] = true
	}
	for _, m := range measure.All() {
		if m.Origin == "derived" && !made[m.Key] {
			t.Errorf("%s is derived and no row makes it", m.Key)
		}
		if made[m.Key] && m.Origin != "derived" && !m.Has(measure.Reading) && (m.Origin != "reported" && m.Origin != "recomputed" || !m.Has(measure.Session)) {
			t.Errorf("%s is made and not derived", m.Key)
		}
	}
}

// A row comes after what it is made from, and rows that a column rules or that need
// the label come after the last that the label is made from.
func TestEveryRowComesAfterWhatItIsMadeFrom(t *testing.T) {
	place := map[string]int{}
	for i, d := range derivations {
		place[d.makes] = i
	}
	for i, d := range derivations {
		for _, key := range slices.Concat(d.from, d.optional) {
			if measure.Get(key) == nil {
				t.Errorf("%s is made from %q", d.makes, key)
			}
			if at, made := place[key]; made && at >= i {
				t.Errorf("%s comes before %s", d.makes, key)
			}
		}
		for _, key := range d.optional {
			if !slices.Contains(d.from, key) {
				t.Errorf("%s is optional by %s and not made from it", d.makes, key)
			}
		}
		column := measure.Get(d.makes).Column
		if column != "" && column != measure.ColumnFlow && i < place["sign-contradicts"] {
			t.Errorf("%s is of the column %s and comes before the label is known", d.makes, column)
		}
		if d.each != "" && !measure.Get(d.each).Has(measure.Injection) {
			t.Errorf("%s is the mean of %s, which is not of an injection", d.makes, d.each)
		}
	}
}

func TestEveryNameInTheTablesIsAMeasure(t *testing.T) {
	var names []string
	for _, l := range limits {
		names = append(names, l.measure, l.limit)
		if l.when != "" {
			names = append(names, l.when)
		}
	}
	for _, f := range fluids {
		names = append(names, f.volume, f.sodium)
		if f.heparin != "" {
			names = append(names, f.heparin)
		}
	}
	names = append(names, sections...)
	for _, name := range names {
		if measure.Get(name) == nil {
			t.Errorf("%q is no measure", name)
		}
	}
	for _, r := range tipRules {
		if !measure.InSet("tip", r.tip) {
			t.Errorf("%q is no position of a tip", r.tip)
		}
	}
	for _, site := range arterialSites {
		if !measure.InSet("sample-site", site) {
			t.Errorf("%q is no site of a sample", site)
		}
	}
	for doubt, reason := range doubtReasons {
		for _, code := range []string{doubt, reason} {
			if _, known := measure.ReasonOf(code); !known {
				t.Errorf("%q is no reason", code)
			}
		}
	}
	for _, c := range measure.Set("area-formula") {
		if _, known := surfaceOf(c.Code); !known {
			t.Errorf("no formula of body surface is called %q", c.Code)
		}
	}
}
