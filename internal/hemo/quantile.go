package hemo

import (
	"math"

	"gonum.org/v1/gonum/mathext"

	"saltmark/internal/finding"
)

// Of a 95 % interval these parts of a distribution lie below its ends.
const (
	lowerEnd = 0.025
	upperEnd = 0.975
)

// varianceBounds gives the 95 % interval of a variance with degrees of freedom above 0:
// freedom variance/chi-square.
func varianceBounds(variance float64, freedom int) (low, high float64) {
	sum := variance * float64(freedom)
	return sum / chiSquare(upperEnd, freedom), sum / chiSquare(lowerEnd, freedom)
}

// chiSquare gives the value below which the part p of chi-square lies.
func chiSquare(p float64, freedom int) float64 {
	return 2 * mathext.GammaIncRegInv(float64(freedom)/2, p)
}

// StudentFactor gives by how many standard errors the 95 % interval of a mean reaches to
// each side when the standard deviation is known with these degrees of freedom: Student's
// t. It is 1.96 with many, and the 2 of PrecisionOfMean with 60.
//
// Source: statistics textbooks.
func StudentFactor(freedom int) (float64, error) {
	if freedom < 1 {
		return 0, finding.Refuse("the degrees of freedom are {1}; 1 or more is wanted", finding.Number(freedom))
	}
	f := float64(freedom)
	x := mathext.InvRegIncBeta(f/2, 0.5, 2*lowerEnd)
	return math.Sqrt(f * (1 - x) / x), nil
}
