package hemo_test

import (
	"math/big"
	"testing"

	"saltmark/internal/hemo"
)

func TestStrokeVolumeTimesRateIsFlow(t *testing.T) {
	for _, c := range []struct{ name, flow, rate, want string }{
		{"printed: table in Postgrad Med J", "4.9", "70", "70"},
		{"computed, no printed figure", "0.610", "150", "61/15"},
	} {
		got, err := hemo.StrokeVolume(rat(t, c.flow), rat(t, c.rate))
		if err != nil || got.Cmp(rat(t, c.want)) != 0 {
			t.Errorf("%s: %v mL, %v; want %s", c.name, got, err, c.want)
		}
	}
	for _, c := range [][2]string{{"0.61", "0"}, {"0.61", ""}, {"-0.61", "150"}} {
		if got, err := hemo.StrokeVolume(rat(t, c[0]), rat(t, c[1])); err == nil {
			t.Errorf("%v: %v, want an error", c, got)
		}
	}
}

// The conventional millimetre of mercury is 133.322387415 Pa (ISO 80000-4 and
// national tables agree to these digits; from memory), that is 1333.22387415
// dyn/cm2.
func TestResistanceFactorFollowsFromTheMillimetreOfMercury(t *testing.T) {
	dynPerCm2, secondsPerMinute, cm3PerLitre := rat(t, "1333.22387415"), rat(t, "60"), rat(t, "1000")
	exact := new(big.Rat).Quo(new(big.Rat).Mul(dynPerCm2, secondsPerMinute), cm3PerLitre)
	if got := exact.FloatString(6); got != "79.993432" {
		t.Errorf("derived %s, want 79.993432", got)
	}
	if got := exact.FloatString(4); got != hemo.ResistanceFactor().FloatString(4) {
		t.Errorf("factor in use %s, derived %s", hemo.ResistanceFactor().FloatString(4), got)
	}
}

// Worked example of the encyclopaedia article 'Vascular resistance' as copied by a
// reference site: 120/80 mmHg, so mean 93 in whole numbers, right atrium 3, 5
// L/min: 18 mmHg min/L, printed as 1440 with the factor 80.
func TestSystemicResistanceMeetsWorkedExample(t *testing.T) {
	got, err := hemo.SystemicResistance(rat(t, "93"), rat(t, "3"), rat(t, "5"))
	if err != nil {
		t.Fatal(err)
	}
	if got.Cmp(rat(t, "1439.8812")) != 0 {
		t.Errorf("%v, want 1439.8812", got)
	}
	if text := got.FloatString(0); text != "1440" {
		t.Errorf("%s, want 1440", text)
	}
}

// The dimension of the index is resistance times area, not resistance per area.
func TestResistanceIndexIsPressureOverFlowIndex(t *testing.T) {
	index, err := hemo.SystemicResistanceIndex(rat(t, "45"), rat(t, "5"), rat(t, "0.6"), rat(t, "0.2"))
	if err != nil {
		t.Fatal(err)
	}
	overFlowIndex, err := hemo.SystemicResistance(rat(t, "45"), rat(t, "5"), rat(t, "3"))
	if err != nil {
		t.Fatal(err)
	}
	if index.Cmp(overFlowIndex) != 0 {
		t.Errorf("index %v, from the flow index %v", index, overFlowIndex)
	}
}

func TestSystemicResistanceTakesAVenousPressureAtOrBelowZero(t *testing.T) {
	for venous, want := range map[string]string{"0": "45", "-3": "48"} {
		got, err := hemo.SystemicResistance(rat(t, "45"), rat(t, venous), rat(t, "1"))
		if err != nil || got.Cmp(new(big.Rat).Mul(rat(t, want), hemo.ResistanceFactor())) != 0 {
			t.Errorf("venous %s: %v, %v", venous, got, err)
		}
	}
}

func TestSystemicResistanceIsRefusedWithoutADifferenceOrAMeasuredPressure(t *testing.T) {
	for _, c := range [][3]string{{"45", "45", "0.6"}, {"45", "50", "0.6"}, {"45", "", "0.6"}, {"45", "5", "0"}, {"", "5", "0.6"}} {
		if got, err := hemo.SystemicResistance(rat(t, c[0]), rat(t, c[1]), rat(t, c[2])); err == nil {
			t.Errorf("%v: %v, want an error", c, got)
		}
	}
	if got, err := hemo.SystemicResistanceIndex(rat(t, "45"), rat(t, "5"), rat(t, "0.6"), nil); err == nil {
		t.Errorf("no area: %v, want an error", got)
	}
}
