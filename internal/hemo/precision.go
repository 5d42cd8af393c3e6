package hemo

import (
	"math"

	"saltmark/internal/finding"
)

// PrecisionOfMean gives the precision, in per cent, of the mean of n replicates
// whose coefficient of variation is cvPercent: 2 CV/sqrt n.
//
// The variation must be pooled from many sessions; from a session's own two values
// the same sum covers far fewer than 95 of 100.
//
// Source: Monnet X et al. Crit Care 2011;15:R204, abstract.
func PrecisionOfMean(cvPercent float64, n int) (float64, error) {
	if !(cvPercent >= 0) || math.IsInf(cvPercent, 1) {
		return 0, finding.Refuse("the coefficient of variation is {1} %; a finite number, 0 or above, is wanted", number(cvPercent))
	}
	if n < 1 {
		return 0, finding.Refuse("the number of replicates is {1}; 1 or more is wanted", finding.Number(n))
	}
	precision := cvPercent * (2 / math.Sqrt(float64(n)))
	if math.IsInf(precision, 1) {
		return 0, finding.Refuse("the coefficient of variation is {1} %; a smaller number is wanted", number(cvPercent))
	}
	return precision, nil
}

// LeastSignificantChange gives the smallest difference between two means of n
// replicates, in per cent, that is more than their own variation: precision of the
// mean times sqrt 2.
//
// Source: as PrecisionOfMean.
func LeastSignificantChange(cvPercent float64, n int) (float64, error) {
	precision, err := PrecisionOfMean(cvPercent, n)
	if err != nil {
		return 0, err
	}
	change := precision * math.Sqrt2
	if math.IsInf(change, 1) {
		return 0, finding.Refuse("the coefficient of variation is {1} %; a smaller number is wanted", number(cvPercent))
	}
	return change, nil
}
