package measure_test

import (
	"math"
	"math/big"
	"testing"

	"saltmark/internal/ucum"
	"saltmark/mapping/measure"
)

func rat(text string) *big.Rat {
	x, ok := new(big.Rat).SetString(text)
	if !ok {
		panic(text)
	}
	return x
}

// The decimals of the page on measures: flow in L/min two decimals from 1 up, three
// below; index by area two; mL/kg/min none; mL/kg and mmol one, mmol/kg two; area
// three, four below 0.1; resistance and oxygen delivery none; volumes one below 100,
// none above; per cent one; oxygen content one; the unrounded value decides which.
func TestDerivedValuesGetTheDecimalsOfTheirMeasure(t *testing.T) {
	tests := []struct{ key, value, want string }{
		{"blood-flow", "0.61", "0.610 L/min"},
		{"blood-flow", "0.9996", "1.000 L/min"},
		{"blood-flow", "1", "1.00 L/min"},
		{"blood-flow", "1.005", "1.01 L/min"},
		{"blood-flow-index-by-area", "2.945", "2.95 L/min/m2"},
		{"blood-flow-index-by-area", "0.5", "0.50 L/min/m2"},
		{"blood-flow-index-by-weight", "203.3333", "203 mL/min/kg"},
		{"blood-flow-index-by-weight", "203.5", "204 mL/min/kg"},
		{"central-blood-volume-index-by-weight", "20.25", "20.3 mL/kg"},
		{"fluid-given-by-weight", "2.3333", "2.3 mL/kg"},
		{"fluid-given-by-weight", "-0.04", "0.0 mL/kg"},
		{"fluid-given-by-weight", "-0.05", "-0.1 mL/kg"},
		{"sodium-given", "1.078", "1.1 mmol"},
		{"sodium-given-by-weight", "0.35933", "0.36 mmol/kg"},
		{"body-surface-area", "0.20678", "0.207 m2"},
		{"body-surface-area", "0.1", "0.100 m2"},
		{"body-surface-area", "0.09996", "0.1000 m2"},
		{"body-surface-area", "0.09874", "0.0987 m2"},
		{"systemic-vascular-resistance", "5350.73", "5351 dyn.s/cm5"},
		{"systemic-vascular-resistance-index", "1107.5", "1108 dyn.s.m2/cm5"},
		{"oxygen-delivery", "104.4", "104 mL/min"},
		{"oxygen-delivery-index", "503.5", "504 mL/min/m2"},
		{"stroke-volume", "4.0667", "4.1 mL"},
		{"stroke-volume", "99.96", "100.0 mL"},
		{"stroke-volume", "100", "100 mL"},
		{"stroke-volume-index", "19.646", "19.6 mL/m2"},
		{"central-blood-volume", "61.45", "61.5 mL"},
		{"end-diastolic-volume", "112.5", "113 mL"},
		{"mean-transit-time", "6.05", "6.1 s"},
		{"spread", "3.934", "3.9 %"},
		{"loop-share-of-flow", "1.967", "2.0 %"},
		{"arterial-oxygen-content", "17.37", "17.4 mL/dL"},
		{"level-age", "0.6667", "0.7 h"},
	}
	for _, test := range tests {
		t.Run(test.key+" "+test.value, func(t *testing.T) {
			if got := measure.Get(test.key).Chart(rat(test.value), false).String(); got != test.want {
				t.Errorf("%s, want %s", got, test.want)
			}
		})
	}
}

func TestAReportedValueNeverGainsDigits(t *testing.T) {
	q := func(text string) ucum.Quantity {
		q, err := ucum.ParseQuantity(text)
		if err != nil {
			t.Fatal(err)
		}
		return q
	}
	flow, rate, rest := measure.Get("blood-flow"), measure.Get("mean-heart-rate"), measure.Get("flow-without-loop")
	tests := []struct {
		name string
		got  ucum.Quantity
		want string
	}{
		{"of unequal digits the fewest win", flow.Chart(rat("0.6105"), true, q("0.61 L/min"), q("0.611 L/min")), "0.61 L/min"},
		{"never more than the rule", flow.Chart(rat("0.61055"), true, q("0.6105 L/min"), q("0.6106 L/min")), "0.611 L/min"},
		{"a value made alone is not capped", flow.Chart(rat("0.6105"), false, q("0.61 L/min")), "0.611 L/min"},
		{"rates keep what was written", rate.Chart(rat("150.5"), false, q("150 /min"), q("151.0 /min")), "151 /min"},
		{"rates written finer", rate.Chart(rat("150.45"), false, q("150.4 /min"), q("150.5 /min")), "150.5 /min"},
		{"the finer digits of two", rest.Chart(rat("1.218"), false, q("1.23 L/min"), q("0.012 L/min")), "1.218 L/min"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			if test.got.String() != test.want {
				t.Errorf("%s, want %s", test.got, test.want)
			}
		})
	}
}

func TestWhatIsNoNumberIsNotCharted(t *testing.T) {
	area := measure.Get("body-surface-area")
	for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		if q, err := area.ChartFloat(x); err == nil {
			t.Errorf("%v is charted as %s", x, q)
		}
	}
	if q, err := area.ChartFloat(0.25); err != nil || q.String() != "0.250 m2" {
		t.Errorf("0.25 is charted as %s, %v", q, err)
	}
}

// A rule of digits that cannot be read is a fault of the table.
func TestEveryRuleOfDigitsCanBeRead(t *testing.T) {
	for _, m := range measure.All() {
		if m.Digits == "" || m.Digits == measure.Written || m.Digits == measure.Finer {
			continue
		}
		for _, value := range []string{"0", "0.05", "50", "500"} {
			if n, ok := m.Digits.Decimals(rat(value)); !ok || n < 0 || n > 4 {
				t.Errorf("%s: digits %q give %d, %v for %s", m.Key, m.Digits, n, ok, value)
			}
		}
	}
}
