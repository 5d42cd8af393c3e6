package ucum_test

import (
	"errors"
	"math"
	"math/big"
	"testing"

	"saltmark/internal/ucum"
)

func TestRoundIsHalfAwayFromZero(t *testing.T) {
	for _, c := range []struct {
		x        string
		decimals int
		want     string
	}{
		{"0.125", 2, "0.13"},
		{"-0.125", 2, "-0.13"},
		{"0.135", 2, "0.14"},
		{"0.1249999999999999999999", 2, "0.12"},
		{"2.5", 0, "3"},
		{"-2.5", 0, "-3"},
		{"0.5", 0, "1"},
		{"0.4", 0, "0"},
		{"-0.4", 0, "0"},
		{"-0.0049", 2, "0.00"},
		{"0", 3, "0.000"},
		{"0.61", 3, "0.610"},
		{"9.995", 2, "10.00"},
		{"2/3", 4, "0.6667"},
		{"615", -1, "620"},
		{"-4", -1, "0"},
		{"1/7", 20, "0.14285714285714285714"},
	} {
		x, ok := new(big.Rat).SetString(c.x)
		if !ok {
			t.Fatal(c.x)
		}
		before := new(big.Rat).Set(x)
		if got := ucum.Round(x, c.decimals); got != c.want {
			t.Errorf("%s to %d: %s, want %s", c.x, c.decimals, got, c.want)
		}
		if x.Cmp(before) != 0 {
			t.Errorf("%s was changed to %s", before, x)
		}
	}
}

func TestRoundFloatRoundsTheBinaryValue(t *testing.T) {
	for _, c := range []struct {
		x        float64
		decimals int
		want     string
	}{
		{0.125, 2, "0.13"}, // a tie in binary too
		{1.005, 2, "1.00"}, // the binary value lies below: 1.00499999999999989...
		{2.675, 2, "2.67"}, // 2.67499999999999982...
		{0.61, 3, "0.610"},
		{math.Copysign(0, -1), 1, "0.0"},
		{1e22, 0, "10000000000000000000000"},
		{5e-324, 3, "0.000"},
	} {
		if got, err := ucum.RoundFloat(c.x, c.decimals); err != nil || got != c.want {
			t.Errorf("%v to %d: %s %v, want %s", c.x, c.decimals, got, err, c.want)
		}
	}
	for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e300} {
		if got, err := ucum.RoundFloat(x, 2); !errors.Is(err, ucum.ErrNumber) || got != "" {
			t.Errorf("%v: %q %v", x, got, err)
		}
	}
}
