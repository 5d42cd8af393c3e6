package hemo_test

import (
	"testing"

	"saltmark/internal/hemo"
)

func TestDopplerFlowIsThatOfAWorkedExample(t *testing.T) {
	for _, c := range []struct {
		diameter, integral, rate string
		want, tolerance          float64
		source                   string
	}{
		{"20", "19", "100", 6.0, 0.05, "printed: teaching page of echocardiographer.org, 3.14 (2.0 cm/2)^2 x 19 cm = 60 mL, x 100 = 6.0 L/min"},
		{"20", "20", "70", 4.398, 0.0005, "computed from the formula"},
		{"8.0", "14.1", "148", 1.049, 0.0005, "computed from the formula: an infant"},
	} {
		got, err := hemo.DopplerFlow(rat(t, c.diameter), rat(t, c.integral), rat(t, c.rate))
		if err != nil {
			t.Fatal(err)
		}
		f, _ := got.Float64()
		near(t, c.source, f, c.want, c.tolerance)
	}
}

func TestDopplerFlowRefusesWhatIsNoVesselOrNoBeat(t *testing.T) {
	for _, c := range [][3]string{{"0", "14", "148"}, {"8", "-1", "148"}, {"8", "14", ""}} {
		if got, err := hemo.DopplerFlow(rat(t, c[0]), rat(t, c[1]), rat(t, c[2])); err == nil {
			t.Errorf("%v: %v, want an error", c, got)
		}
	}
}

// Contents of carbon dioxide by the formula of Douglas 1988, beside its values in
// carbon_test.go: 46.715924 arterial, 51.055604 venous.
func TestFickFlowByCarbonDioxideTurnsTheDifferenceAround(t *testing.T) {
	got, err := hemo.FickCarbonDioxideFlow(rat(t, "200"), rat(t, "46.715924"), rat(t, "51.055604"))
	if err != nil {
		t.Fatal(err)
	}
	f, _ := got.Float64()
	near(t, "200/43.3968, computed by hand", f, 4.60864, 0.00001)
	for _, c := range [][3]string{{"200", "48", "48"}, {"200", "51", "46"}, {"0", "46", "51"}, {"200", "", "51"}} {
		if got, err := hemo.FickCarbonDioxideFlow(rat(t, c[0]), rat(t, c[1]), rat(t, c[2])); err == nil {
			t.Errorf("%v: %v, want an error", c, got)
		}
	}
}
