package hemo_test

import (
	"math/big"
	"testing"

	"saltmark/internal/hemo"
)

func TestFlowByOxygenUptakeMeetsWorkedExamples(t *testing.T) {
	for _, c := range []struct {
		name, uptake, arterial, venous, want string
		decimals                             int
	}{
		{"printed on a teaching page: a difference of 5 mL/dL, a quarter of 20", "250", "20", "15", "5", 0},
		{"computed: Hb 15, 0.98 and 0.75, 95 and 40 mmHg", "250", "19.983", "15.195", "5.2214", 4},
	} {
		got, err := hemo.FickFlow(rat(t, c.uptake), rat(t, c.arterial), rat(t, c.venous))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
		} else if text := got.FloatString(c.decimals); text != c.want {
			t.Errorf("%s: %s L/min, want %s", c.name, text, c.want)
		}
	}
}

func TestFlowByOxygenUptakeNeedsADifference(t *testing.T) {
	for _, c := range [][3]string{{"250", "15", "15"}, {"250", "15", "16"}, {"0", "20", "15"}, {"250", "20", ""}} {
		if got, err := hemo.FickFlow(rat(t, c[0]), rat(t, c[1]), rat(t, c[2])); err == nil {
			t.Errorf("%v: %v, want an error", c, got)
		}
	}
}

// Saturations in per cent from a teaching page (Clinical Anesthesia Procedures of
// the Massachusetts General Hospital, 8th edition, for the formulas); results
// computed.
func TestShuntRatioMeetsWorkedExample(t *testing.T) {
	mixed, err := hemo.MixedVenous(rat(t, "68"), rat(t, "76"))
	if err != nil {
		t.Fatal(err)
	}
	if mixed.Cmp(rat(t, "70")) != 0 {
		t.Errorf("mixed venous %v, want 70", mixed)
	}
	at := hemo.Sites{Aortic: rat(t, "95"), MixedVenous: mixed, PulmonaryVenous: rat(t, "97"), PulmonaryArterial: rat(t, "85")}
	ratio, err := hemo.ShuntRatio(at)
	if err != nil {
		t.Fatal(err)
	}
	if ratio.Cmp(rat(t, "25/12")) != 0 {
		t.Errorf("ratio %v, want 25/12 (2.0833)", ratio)
	}
}

// A single ventricle in room air has about 25/(100 - SaO2), from a paediatric
// handbook page: lung veins full, one saturation in aorta and pulmonary artery, a
// difference of 25 over the body.
func TestShuntRatioOfASingleVentricleIsOneAtSeventyFive(t *testing.T) {
	at := hemo.Sites{Aortic: rat(t, "75"), MixedVenous: rat(t, "50"), PulmonaryVenous: rat(t, "100"), PulmonaryArterial: rat(t, "75")}
	ratio, err := hemo.ShuntRatio(at)
	if err != nil {
		t.Fatal(err)
	}
	if ratio.Cmp(rat(t, "1")) != 0 {
		t.Errorf("ratio %v, want 1", ratio)
	}
}

func TestShuntRatioIsEqualFromContentsWithoutDissolvedOxygen(t *testing.T) {
	with := hemo.OxygenConstants{Huefner: rat(t, "1.34")}
	content := func(saturation string) *big.Rat {
		c, err := hemo.OxygenContent(rat(t, "12.3"), rat(t, saturation), nil, with)
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	at := hemo.Sites{
		Aortic: content("0.95"), MixedVenous: content("0.70"),
		PulmonaryVenous: content("0.97"), PulmonaryArterial: content("0.85"),
	}
	ratio, err := hemo.ShuntRatio(at)
	if err != nil || ratio.Cmp(rat(t, "25/12")) != 0 {
		t.Errorf("ratio %v, %v; want 25/12", ratio, err)
	}
}

func TestShuntRatioIsRefusedWhereADifferenceIsMissing(t *testing.T) {
	for _, c := range []struct{ name, aortic, mixed, vein, artery string }{
		{"body takes up nothing", "70", "70", "97", "85"},
		{"lung takes up nothing", "95", "70", "85", "85"},
		{"lung turned round", "95", "70", "85", "97"},
		{"one site missing", "95", "70", "", "85"},
	} {
		at := hemo.Sites{Aortic: rat(t, c.aortic), MixedVenous: rat(t, c.mixed), PulmonaryVenous: rat(t, c.vein), PulmonaryArterial: rat(t, c.artery)}
		if got, err := hemo.ShuntRatio(at); err == nil {
			t.Errorf("%s: %v, want an error", c.name, got)
		}
	}
	if got, err := hemo.MixedVenous(rat(t, "68"), nil); err == nil {
		t.Errorf("one vein: %v, want an error", got)
	}
}
