package hemo_test

import (
	"math"
	"testing"

	"saltmark/internal/hemo"
)

// sample is one blood sample at 37 Cel.
type sample struct {
	pH, haemoglobin, saturation, pressure float64
	plasma, blood                         float64 // tabulated plasma content, measured blood content, mL/dL
}

// douglas gives Table 3 (samples of Loeppky 1983) of Douglas AR, Jones NL, Reed
// JW. J Appl Physiol 1988;65:473-477, as public code carries it.
func douglas() []sample {
	return []sample{
		{7.510, 16.5, 0.930, 28.6, 53.84, 40.3},
		{7.493, 16.5, 0.738, 31.4, 56.84, 42.5},
		{7.471, 18, 0.849, 31, 53.33, 39.8},
		{7.421, 18, 0.494, 38.6, 59.19, 46.2},
		{7.433, 18.4, 0.853, 27.3, 43.03, 34},
		{7.351, 18.4, 0.389, 42.1, 55.01, 45.2},
		{7.411, 19, 0.840, 26.4, 39.56, 30.4},
		{7.321, 19, 0.335, 43, 52.48, 43.5},
		{7.500, 16.1, 0.979, 29.8, 54.82, 40.6},
		{7.469, 16.1, 0.806, 33.8, 57.88, 43.1},
		{7.455, 17.5, 0.893, 31.7, 52.56, 40.9},
		{7.415, 17.5, 0.569, 38.6, 58.38, 46.8},
		{7.432, 18.2, 0.889, 31.1, 48.91, 36.1},
		{7.352, 18.2, 0.440, 45.2, 59.19, 46.5},
		{7.474, 15.7, 0.949, 34.8, 60.29, 46.3},
		{7.435, 15.7, 0.735, 40.4, 63.97, 48.9},
		{7.471, 16.2, 0.881, 34, 58.49, 45.3},
		{7.413, 16.2, 0.551, 42.3, 63.68, 50.3},
		{7.447, 16.5, 0.870, 36.1, 58.76, 45.5},
		{7.383, 16.5, 0.467, 48.3, 67.89, 52.7},
		{7.436, 16.9, 0.881, 32.6, 51.74, 40.4},
		{7.351, 16.9, 0.433, 48.7, 63.63, 50.3},
		{7.437, 16.9, 0.889, 30.2, 48.04, 37.5},
		{7.345, 16.9, 0.366, 47.1, 60.71, 49.1},
		{7.485, 16.8, 0.933, 31.1, 55.26, 42.2},
		{7.450, 16.8, 0.714, 38.7, 63.43, 46.2},
		{7.467, 17.9, 0.867, 33.9, 57.79, 42.7},
		{7.421, 17.9, 0.576, 39.8, 61.03, 48.3},
		{7.457, 18.3, 0.858, 31.8, 52.97, 39},
		{7.390, 18.3, 0.429, 43.6, 62.27, 48.3},
		{7.467, 17.8, 0.903, 30, 51.14, 37.7},
		{7.382, 17.8, 0.407, 43.6, 61.14, 48.5},
		{7.473, 16.1, 0.883, 32.3, 55.83, 43},
		{7.462, 16.1, 0.737, 34.8, 58.64, 45.1},
		{7.442, 16.4, 0.888, 33.5, 53.91, 42.4},
		{7.403, 16.4, 0.519, 43.9, 64.59, 48.8},
		{7.394, 17.1, 0.899, 33.7, 48.57, 35.6},
		{7.308, 17.1, 0.395, 49.6, 58.78, 46.8},
	}
}

func TestPlasmaContentMeetsTheTableOfDouglas(t *testing.T) {
	if n := len(douglas()); n != 38 {
		t.Fatalf("%d samples, want 38", n)
	}
	for i, s := range douglas() {
		got, err := hemo.PlasmaCarbonDioxide(s.pressure, s.pH, 37)
		if err != nil || !(math.Abs(got-s.plasma) <= 0.0051) {
			t.Errorf("sample %d: %v mL/dL, %v; printed %v", i+1, got, err, s.plasma)
		}
	}
}

// Formula against measurement, computed on the 38 samples by other code: mean
// -0.040, SD 1.148 mL/dL, r 0.9786. The abstract prints 0.02, 1.19 and 0.98 for
// the authors' own nine subjects.
func TestBloodContentMeetsTheMeasurementsInDouglas(t *testing.T) {
	var sum, squares, sx, sy, sxx, syy, sxy float64
	for _, s := range douglas() {
		got, err := hemo.BloodCarbonDioxide(s.pressure, s.pH, 37, s.haemoglobin, s.saturation)
		if err != nil {
			t.Fatal(err)
		}
		d := got - s.blood
		sum, squares = sum+d, squares+d*d
		sx, sy = sx+got, sy+s.blood
		sxx, syy, sxy = sxx+got*got, syy+s.blood*s.blood, sxy+got*s.blood
	}
	n := float64(len(douglas()))
	near(t, "mean difference", sum/n, -0.040, 0.0005)
	near(t, "SD of the differences", math.Sqrt((squares-sum*sum/n)/(n-1)), 1.148, 0.0005)
	near(t, "correlation", (sxy-sx*sy/n)/math.Sqrt((sxx-sx*sx/n)*(syy-sy*sy/n)), 0.9786, 0.00005)
}

func TestBloodContentMeetsOtherFigures(t *testing.T) {
	const mmHgPerKPa = 7.500616827
	for _, c := range []struct {
		pressure, pH, haemoglobin, saturation, want, tolerance float64
		source                                                 string
	}{
		{5 * mmHgPerKPa, 7.40, 10, 0.9, 47.547384, 1e-6, "tests of bakenzua/co2ntent"},
		{5 * mmHgPerKPa, 7.40, 0, 0.9, 54.803778, 1e-6, "same, plasma"},
		{40, 7.40, 15, 0.97, 46.715924, 1e-6, "computed from the formula by other code"},
		{46, 7.37, 15, 0.75, 51.055604, 1e-6, "computed from the formula by other code"},
	} {
		got, err := hemo.BloodCarbonDioxide(c.pressure, c.pH, 37, c.haemoglobin, c.saturation)
		if err != nil {
			t.Errorf("%s: %v", c.source, err)
			continue
		}
		near(t, c.source, got, c.want, c.tolerance)
	}
}

func TestCarbonDioxideIsRefusedOutsideTheFormula(t *testing.T) {
	nan := math.NaN()
	for _, c := range [][5]float64{
		{0, 7.4, 37, 15, 0.97}, {-40, 7.4, 37, 15, 0.97}, {nan, 7.4, 37, 15, 0.97}, {math.MaxFloat64, 8, 37, 15, 0.97},
		{40, 8.2, 37, 15, 0.97}, {40, 0, 37, 15, 0.97}, {40, nan, 37, 15, 0.97},
		{40, 7.4, 98.6, 15, 0.97}, {40, 7.4, nan, 15, 0.97},
		{40, 7.4, 37, 150, 0.97}, {40, 7.4, 37, -1, 0.97}, {40, 7.4, 37, nan, 0.97},
		{40, 7.4, 37, 15, 97}, {40, 7.4, 37, 15, nan},
		{40, 8, 37, 30, 1},
	} {
		if got, err := hemo.BloodCarbonDioxide(c[0], c[1], c[2], c[3], c[4]); err == nil {
			t.Errorf("%v: %v, want an error", c, got)
		}
	}
}
