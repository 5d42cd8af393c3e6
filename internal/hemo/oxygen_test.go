package hemo_test

import (
	"math"
	"math/big"
	"testing"

	"saltmark/internal/hemo"
)

func TestOxygenContentMeetsWorkedExamples(t *testing.T) {
	for _, c := range []struct {
		name, hb, saturation, pressure, huefner, solubility string
		want                                                string
		decimals                                            int
	}{
		// OpenAnesthesia page on oxygen content (the constants in use); results
		// computed, not printed.
		{"1.34 mL/g", "15", "0.98", "95", "1.34", "0.003", "19.983", 3},
		{"1.36 mL/g", "15", "0.98", "95", "1.36", "0.003", "20.277", 3},
		{"1.39 mL/g", "15", "0.98", "95", "1.39", "0.003", "20.718", 3},
		{"venous", "15", "0.75", "40", "1.34", "0.003", "15.195", 3},
		// e-LfH anaesthesia session 05_02, printed 200 mL/L; pressure and solubility
		// both by kPa.
		{"printed, per litre", "15", "0.98", "13", "1.34", "0.023", "20.0", 1},
		// Table in Postgrad Med J, printed 19.4 mL/dL; pressure and solubility both
		// by kPa.
		{"printed, other constants", "14.0", "0.98", "13.3", "1.39", "0.0225", "19.4", 1},
		{"dissolved part left out", "15", "0.98", "", "1.34", "", "19.698", 3},
		{"no saturation at all", "15", "0", "", "1.34", "", "0", 0},
	} {
		with := hemo.OxygenConstants{Huefner: rat(t, c.huefner), Solubility: rat(t, c.solubility)}
		got, err := hemo.OxygenContent(rat(t, c.hb), rat(t, c.saturation), rat(t, c.pressure), with)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
		} else if text := got.FloatString(c.decimals); text != c.want {
			t.Errorf("%s: %s mL/dL, want %s", c.name, text, c.want)
		}
	}
}

func TestOxygenContentRefusesWhatHasNoMeaning(t *testing.T) {
	constants := func(huefner, solubility string) hemo.OxygenConstants {
		return hemo.OxygenConstants{Huefner: rat(t, huefner), Solubility: rat(t, solubility)}
	}
	for _, c := range []struct {
		name, hb, saturation, pressure string
		with                           hemo.OxygenConstants
	}{
		{"no haemoglobin", "", "0.98", "", constants("1.34", "")},
		{"haemoglobin zero", "0", "0.98", "", constants("1.34", "")},
		{"saturation in per cent", "15", "98", "", constants("1.34", "")},
		{"saturation below zero", "15", "-0.1", "", constants("1.34", "")},
		{"no saturation", "15", "", "", constants("1.34", "")},
		{"no constant", "15", "0.98", "", constants("", "")},
		{"pressure without a solubility", "15", "0.98", "95", constants("1.34", "")},
		{"pressure zero", "15", "0.98", "0", constants("1.34", "0.003")},
	} {
		if got, err := hemo.OxygenContent(rat(t, c.hb), rat(t, c.saturation), rat(t, c.pressure), c.with); err == nil {
			t.Errorf("%s: %v, want an error", c.name, got)
		}
	}
}

func TestOxygenDeliveryMeetsWorkedExamples(t *testing.T) {
	for _, c := range []struct {
		name, flow, content, want string
		decimals                  int
	}{
		{"printed: e-LfH anaesthesia session 05_02", "5", "20", "1000", 0},
		{"printed: table in Postgrad Med J, from the rounded content", "4.9", "19.4", "950.6", 1},
		{"same, computed from the unrounded content", "4.9", "19.37005", "949.13", 2},
	} {
		got, err := hemo.OxygenDelivery(rat(t, c.flow), rat(t, c.content))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
		} else if text := got.FloatString(c.decimals); text != c.want {
			t.Errorf("%s: %s mL/min, want %s", c.name, text, c.want)
		}
	}
	if got, err := hemo.OxygenDelivery(rat(t, "-1"), rat(t, "20")); err == nil {
		t.Errorf("a flow below zero: %v, want an error", got)
	}
}

// Severinghaus JW. J Appl Physiol 1979;46:599-602: formula from the abstract;
// figures computed from it by other code, the printed table was not seen.
func TestOxygenSaturationFollowsItsFormula(t *testing.T) {
	for pressure, percent := range map[float64]float64{
		10: 9.65, 20: 31.98, 26.86: 50.01, 30: 57.38, 40: 74.95, 50: 84.99,
		60: 90.58, 70: 93.79, 80: 95.73, 90: 96.94, 100: 97.75, 150: 99.32,
	} {
		got, err := hemo.OxygenSaturation(pressure)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "saturation", got*100, percent, 0.0051)
	}
}

func TestOxygenSaturationIsAFractionOrAnError(t *testing.T) {
	for _, p := range []float64{0, -40, math.NaN(), math.Inf(1), math.Inf(-1)} {
		if got, err := hemo.OxygenSaturation(p); err == nil {
			t.Errorf("%v mmHg: %v, want an error", p, got)
		}
	}
	for _, p := range []float64{math.SmallestNonzeroFloat64, math.MaxFloat64} {
		if got, err := hemo.OxygenSaturation(p); err == nil && !(got >= 0 && got <= 1) {
			t.Errorf("%v mmHg: %v", p, got)
		}
	}
}

func TestFormulasLeaveTheirArgumentsAlone(t *testing.T) {
	a, b := big.NewRat(20, 1), big.NewRat(15, 1)
	if _, err := hemo.FickFlow(big.NewRat(250, 1), a, b); err != nil {
		t.Fatal(err)
	}
	if _, err := hemo.MixedVenous(a, b); err != nil {
		t.Fatal(err)
	}
	if _, err := hemo.SystemicResistanceIndex(a, b, b, b); err != nil {
		t.Fatal(err)
	}
	if _, err := hemo.OxygenContent(a, big.NewRat(1, 2), b, hemo.OxygenConstants{Huefner: b, Solubility: b}); err != nil {
		t.Fatal(err)
	}
	if a.Cmp(big.NewRat(20, 1)) != 0 || b.Cmp(big.NewRat(15, 1)) != 0 {
		t.Errorf("arguments are now %v and %v", a, b)
	}
}
