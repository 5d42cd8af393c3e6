package ucum_test

import (
	"math/big"
	"strconv"
	"testing"

	"saltmark/internal/ucum"
)

// The baseline of the parser is a code seen for the first time, of the exact
// arithmetic a float64.

func BenchmarkParseSeenBefore(b *testing.B) {
	for b.Loop() {
		if _, err := ucum.Parse("L/min/m2"); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkParseSeenFirst(b *testing.B) {
	codes := make([]string, 5000)
	for i := range codes {
		codes[i] = "L/min/m2." + strconv.Itoa(i+1)
	}
	for i := 0; b.Loop(); i++ {
		if _, err := ucum.Parse(codes[i%len(codes)]); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkParseQuantity(b *testing.B) {
	for b.Loop() {
		if _, err := ucum.ParseQuantity("0.610 L/min"); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkInMovesThePoint(b *testing.B) {
	q := ucum.Quantity{Number: "0.610", Unit: "L/min"}
	for b.Loop() {
		if _, ok, err := q.In("mL/min"); !ok || err != nil {
			b.Fatal(ok, err)
		}
	}
}

func BenchmarkInSameUnit(b *testing.B) {
	q := ucum.Quantity{Number: "0.610", Unit: "L/min"}
	for b.Loop() {
		if _, ok, err := q.In("L/min"); !ok || err != nil {
			b.Fatal(ok, err)
		}
	}
}

func BenchmarkDecimals(b *testing.B) {
	q := ucum.Quantity{Number: "0.610", Unit: "L/min"}
	for b.Loop() {
		if q.Decimals() != 3 {
			b.Fatal(q)
		}
	}
}

func BenchmarkConvertAndRound(b *testing.B) {
	q := ucum.Quantity{Number: "45", Unit: "mm[Hg]"}
	for b.Loop() {
		x, err := ucum.Convert(q, "kPa")
		if err != nil {
			b.Fatal(err)
		}
		ucum.Round(x, 2)
	}
}

func BenchmarkRound(b *testing.B) {
	x := big.NewRat(61, 15)
	for b.Loop() {
		ucum.Round(x, 2)
	}
}

func BenchmarkRoundBaselineFloat(b *testing.B) {
	x := 61.0 / 15
	for b.Loop() {
		_ = strconv.FormatFloat(x, 'f', 2, 64)
	}
}
