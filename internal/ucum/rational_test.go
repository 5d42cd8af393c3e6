package ucum

import (
	"math/big"
	"testing"

	"pgregory.net/rapid"
)

// The short way to a rational is the general one, for whatever CheckNumber accepts.
func TestTheShortRationalIsTheGeneralOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.StringMatching(`-?(0|[1-9][0-9]{0,18})(\.[0-9]{1,19})?`).Draw(t, "number")
		want, _ := new(big.Rat).SetString(number)
		got, err := rational(number)
		if len(number) > longestNumber {
			return
		}
		if err != nil || got.Cmp(want) != 0 || got.Denom().Cmp(want.Denom()) != 0 {
			t.Fatalf("%s: %v, %v; want %v", number, got, err, want)
		}
		got.Add(got, big.NewRat(1, 3)) // it is the caller's own
		if again, _ := rational(number); again.Cmp(want) != 0 {
			t.Fatalf("%s became %v", number, again)
		}
	})
}

func BenchmarkRational(b *testing.B) {
	for _, number := range []string{"0.610", "150", "3.0"} {
		b.Run("short/"+number, func(b *testing.B) {
			for b.Loop() {
				_, _ = rational(number)
			}
		})
		b.Run("general/"+number, func(b *testing.B) {
			for b.Loop() {
				_ = CheckNumber(number)
				_, _ = new(big.Rat).SetString(number)
			}
		})
	}
}
