package hemo

import (
	"math"
	"testing"
)

// Points of chi-square as printed (NIST/SEMATECH e-Handbook of Statistical Methods,
// 1.3.6.7.4, lower and upper critical values).
func TestChiSquareIsThatOfPrintedTables(t *testing.T) {
	for _, c := range []struct {
		freedom   int
		low, high float64
	}{
		{1, 0.001, 5.024}, {2, 0.051, 7.378}, {3, 0.216, 9.348}, {10, 3.247, 20.483}, {30, 16.791, 46.979}, {60, 40.482, 83.298}, {100, 74.222, 129.561},
	} {
		if got := chiSquare(lowerEnd, c.freedom); math.Abs(got-c.low) > 0.00051 {
			t.Errorf("%d degrees of freedom, lower: %v, want %v", c.freedom, got, c.low)
		}
		if got := chiSquare(upperEnd, c.freedom); math.Abs(got-c.high) > 0.00051 {
			t.Errorf("%d degrees of freedom, upper: %v, want %v", c.freedom, got, c.high)
		}
	}
}
