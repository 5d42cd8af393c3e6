package ucum_test

import (
	"errors"
	"math/big"
	"strings"
	"testing"

	"saltmark/internal/ucum"
)

func TestConversionsAreExact(t *testing.T) {
	for _, c := range []struct{ number, from, to, want string }{
		{"37", "Cel", "K", "6203/20"},
		{"37", "Cel", "[degF]", "493/5"}, // 98.6
		{"98.6", "[degF]", "Cel", "37"},  // the same back
		{"-40", "Cel", "[degF]", "-40"},  // the scales cross
		{"0", "K", "[degF]", "-45967/100"},
		{"0", "Cel", "[degRe]", "0"},
		{"80", "[degRe]", "Cel", "100"}, // water boils at 80 degrees Réaumur
		{"37000", "mCel", "Cel", "37"},  // specification, clause 22: a prefix scales the reading
		{"18.5", "2.Cel", "Cel", "37"},  // so does a number
		{"37", "Cel{core}", "Cel", "37"},
		{"37", "Cel1", "Cel", "37"},
		{"36.6", "Cel", "Cel", "183/5"},
		{"1", "[wood'U]", "dyn.s/cm5", "199983/2500"}, // 133.322*60/100 = 79.9932
		{"1", "mol", "1", "602214076000000000000000"}, // SI Brochure, 9th edition: the Avogadro constant
		{"5", "[iU]/mL", "[iU]/mL", "5"},
		{"7", "[pH]", "[pH]", "7"},
		{"2", "[lb_av]", "kg", "45359237/50000000"}, // 0.45359237 kg (international agreement of 1959, from memory)
	} {
		want, ok := new(big.Rat).SetString(c.want)
		got, err := ucum.Convert(ucum.Quantity{Number: c.number, Unit: c.from}, c.to)
		if err != nil || !ok || got.Cmp(want) != 0 {
			t.Errorf("%s %s in %s: %v %v, want %s", c.number, c.from, c.to, got, err, c.want)
		}
	}
}

func TestWhatDoesNotConvertSaysWhy(t *testing.T) {
	for _, c := range []struct {
		number, from, to string
		want             error
		words            string
	}{
		{"2.5", "L/min", "mL", ucum.ErrDimension, `"L/min" to "mL": units of different dimensions (volume per time, volume)`},
		{"5", "[iU]", "1", ucum.ErrArbitraryUnit, ""},
		{"5", "[iU]", "k[iU]", ucum.ErrArbitraryUnit, ""},
		{"5", "[iU]/L", "[iU]/mL", ucum.ErrArbitraryUnit, ""},
		{"5", "[iU]", "[USP'U]", ucum.ErrArbitraryUnit, ""},
		{"7.4", "[pH]", "mol/L", ucum.ErrSpecialUnit, ""},
		{"3", "dB", "1", ucum.ErrSpecialUnit, ""},
		{"3", "Cel/min", "K/min", ucum.ErrSpecialUnit, ""},
		{"3", "Cel2", "K2", ucum.ErrSpecialUnit, ""},
		{"3", "/Cel", "/K", ucum.ErrSpecialUnit, ""},
		{"3", "mmHg", "kPa", ucum.ErrSyntax, ""},
		{"3", "kPa", "mmHg", ucum.ErrSyntax, ""},
		{"3e1", "kPa", "Pa", ucum.ErrNumber, ""},
		{"", "kPa", "Pa", ucum.ErrNumber, ""},
		{"NaN", "kPa", "kPa", ucum.ErrNumber, ""},
		{"3", "x", "x", ucum.ErrSyntax, ""},
	} {
		q := ucum.Quantity{Number: c.number, Unit: c.from}
		_, err := ucum.Convert(q, c.to)
		if !errors.Is(err, c.want) || c.words != "" && err.Error() != c.words {
			t.Errorf("%s in %s: %v, want %v", q, c.to, err, c.want)
		}
		if _, ok, err := q.In(c.to); ok || !errors.Is(err, c.want) {
			t.Errorf("%s.In(%s): %v %v, want %v", q, c.to, ok, err, c.want)
		}
	}
}

func TestInMovesThePointAndKeepsEveryDigit(t *testing.T) {
	for _, c := range []struct{ number, from, to, want string }{
		{"0.610", "L/min", "mL/min", "610"},
		{"610", "mL/min", "L/min", "0.610"},
		{"2.50", "mL", "L", "0.00250"},
		{"610", "L", "mL", "610000"},
		{"0.0610", "L", "mL", "61.0"},
		{"-0.05", "L", "mL", "-50"},
		{"0", "L", "mL", "0"},
		{"0.00", "L", "mL", "0"},
		{"0.00", "mL", "L", "0.00000"},
		{"0.0000", "L", "mL", "0.0"},
		{"-0", "mL", "L", "-0.000"},
		{"10", "dyn.s/cm5", "kPa.s/L", "1.0"}, // 1 dyn.s/cm5 = 10^5 Pa.s/m3
		{"3.0", "kg", "g", "3000"},
		{"50", "cm", "m", "0.50"},
		{"2", "5.m", "50.cm", "20"},
		{"12", "%", "1", "0.12"},
		{"1.20", "L/min/m2", "mL/(min.m2)", "1200"},
		{"37.0", "Cel", "Cel", "37.0"},
		{"37.0", "mCel", "Cel", "0.0370"},
		{"5.10", "[iU]", "[iU]", "5.10"},
		{"45", "mm[Hg]", "cm[Hg]", "4.5"},
	} {
		got, ok, err := ucum.Quantity{Number: c.number, Unit: c.from}.In(c.to)
		if want := (ucum.Quantity{Number: c.want, Unit: c.to}); !ok || err != nil || got != want {
			t.Errorf("%s %s in %s: %q %v %v, want %q", c.number, c.from, c.to, got, ok, err, want)
		}
	}
}

func TestInLeavesOtherFactorsToConvert(t *testing.T) {
	for _, c := range []struct{ from, to string }{
		{"min", "s"}, {"mm[Hg]", "kPa"}, {"L/min", "L/s"}, {"Cel", "K"}, {"K", "Cel"}, {"2.m", "m"}, {"m", "5.m"}, {"[degF]", "Cel"},
	} {
		if got, ok, err := (ucum.Quantity{Number: "1", Unit: c.from}).In(c.to); ok || err != nil {
			t.Errorf("1 %s in %s: %v %v %v", c.from, c.to, got, ok, err)
		}
	}
	if _, ok, err := (ucum.Quantity{Number: "1e3", Unit: "min"}).In("s"); ok || !errors.Is(err, ucum.ErrNumber) {
		t.Errorf("a bad number: %v %v", ok, err)
	}
}

func TestInGivesNoNumberThatIsTooLong(t *testing.T) {
	for _, q := range []ucum.Quantity{{"1", "Ym"}, {"1", "ym"}, {strings.Repeat("1", 40), "km"}} {
		to := map[string]string{"Ym": "ym", "ym": "Ym", "km": "m"}[q.Unit]
		if got, ok, err := q.In(to); ok || !errors.Is(err, ucum.ErrNumber) {
			t.Errorf("%s in %s: %v %v %v", q, to, got, ok, err)
		}
	}
}

func TestCommensurableAsTheSpecificationSays(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want bool
	}{
		{"L/min", "mL/s", true}, {"L/min", "L", false}, {"Cel", "K", true}, {"[pH]", "mol/L", true},
		{"[iU]", "[iU]", true}, {"[iU]", "1", false}, {"[iU]", "[IU]", false}, {"[iU]/L", "[iU]/mL", false},
		{"mmol/L", "/m3", true}, {"x", "x", false}, {"m", "x", false},
	} {
		if got := ucum.Commensurable(c.a, c.b); got != c.want {
			t.Errorf("%s and %s: %v", c.a, c.b, got)
		}
	}
}

func TestProductsQuotientsAndMeansAreExact(t *testing.T) {
	flow, rate := ucum.Quantity{Number: "0.610", Unit: "L/min"}, ucum.Quantity{Number: "150", Unit: "/min"}
	volume, err := ucum.Quo(flow, rate, "mL")
	if err != nil || volume.RatString() != "61/15" {
		t.Errorf("flow by rate: %v %v", volume, err)
	}
	back, err := ucum.Mul(ucum.Quantity{Number: "4.07", Unit: "mL"}, rate, "L/min")
	if err != nil || back.RatString() != "1221/2000" {
		t.Errorf("volume times rate: %v %v", back, err)
	}
	mean, err := ucum.MeanOf([]ucum.Quantity{{"0.610", "L/min"}, {"0.6", "L/min"}, {"0.65", "L/min"}})
	if err != nil || mean.RatString() != "31/50" {
		t.Errorf("mean: %v %v", mean, err)
	}
	sum, err := ucum.SumOf([]ucum.Quantity{{"99999999999999999999", "mL"}, {"0.00000000000000000001", "mL"}, {"-99999999999999999999", "mL"}})
	if err != nil || ucum.Round(sum, 20) != "0.00000000000000000001" {
		t.Errorf("sum: %v %v", sum, err)
	}
}

func TestArithmeticRefusesWhatHasNoMeaning(t *testing.T) {
	q := func(number, unit string) ucum.Quantity { return ucum.Quantity{Number: number, Unit: unit} }
	for _, c := range []struct {
		name string
		do   func() error
		want error
	}{
		{"mean of none", func() error { _, err := ucum.MeanOf(nil); return err }, ucum.ErrNoValues},
		{"mean of two units", func() error { _, err := ucum.MeanOf([]ucum.Quantity{q("1", "L"), q("1", "mL")}); return err }, ucum.ErrUnitsDiffer},
		{"mean with no number", func() error { _, err := ucum.MeanOf([]ucum.Quantity{q("1", "L"), q("1e1", "L")}); return err }, ucum.ErrNumber},
		{"quotient by zero", func() error { _, err := ucum.Quo(q("1", "L"), q("0.0", "min"), "L/min"); return err }, ucum.ErrZeroDivisor},
		{"quotient in no unit", func() error { _, err := ucum.Quo(q("1", "L"), q("1", "1"), "lpm"); return err }, ucum.ErrSyntax},
		{"quotient of another dimension", func() error { _, err := ucum.Quo(q("1", "L"), q("1", "min"), "L"); return err }, ucum.ErrDimension},
		{"product with a special unit", func() error { _, err := ucum.Mul(q("1", "Cel"), q("1", "s"), "K.s"); return err }, ucum.ErrSpecialUnit},
		{"product in a special unit", func() error { _, err := ucum.Mul(q("1", "K"), q("1", "1"), "Cel"); return err }, ucum.ErrSpecialUnit},
		{"product with an arbitrary unit", func() error { _, err := ucum.Mul(q("1", "[iU]/mL"), q("1", "mL"), "[iU]"); return err }, ucum.ErrArbitraryUnit},
		{"product with no unit", func() error { _, err := ucum.Mul(q("1", "L"), q("1", ""), "L"); return err }, ucum.ErrSyntax},
		{"product in no unit", func() error { _, err := ucum.Mul(q("1", "L"), q("1", "1"), "mmHg"); return err }, ucum.ErrSyntax},
		{"product with no number", func() error { _, err := ucum.Mul(q("", "L"), q("1", "1"), "L"); return err }, ucum.ErrNumber},
	} {
		if err := c.do(); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
}
