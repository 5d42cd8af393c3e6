package hemo_test

import (
	"math"
	"math/big"
	"testing"

	"saltmark/internal/hemo"
)

// rat reads an exact decimal or fraction of a test table; "" is nil.
func rat(t testing.TB, text string) *big.Rat {
	t.Helper()
	if text == "" {
		return nil
	}
	r, ok := new(big.Rat).SetString(text)
	if !ok {
		t.Fatalf("%q is no number", text)
	}
	return r
}

// near fails where got is not within tolerance of want.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %v, want %v within %v", what, got, want, tolerance)
	}
}

func TestErrorsSayWhatWasFoundAndWhatIsWanted(t *testing.T) {
	_, weight := hemo.Surfaces()[0].Area(-3.5, 50)
	_, saturation := hemo.OxygenContent(rat(t, "15"), rat(t, "98"), nil, hemo.OxygenConstants{Huefner: rat(t, "1.34")})
	_, pH := hemo.PlasmaCarbonDioxide(40, 8.5, 37)
	_, rate := hemo.StrokeVolume(rat(t, "0.61"), rat(t, "-1/3"))
	for _, c := range []struct {
		err  error
		want string
	}{
		{weight, "body weight is -3.5 kg; a finite number above 0 is wanted"},
		{saturation, "oxygen saturation is 98; a fraction from 0 to 1 is wanted"},
		{pH, "pH is 8.5; a number from 6 to 8 is wanted"},
		{rate, "heart rate is -0.333333333 /min; a number above 0 is wanted"},
	} {
		if c.err == nil || c.err.Error() != c.want {
			t.Errorf("%v, want %q", c.err, c.want)
		}
	}
}
