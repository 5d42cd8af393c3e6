package hemo

import (
	"math"
	"math/big"

	"saltmark/internal/finding"
)

// PooledVariance gives the variance within groups of repeated values, pooled over the
// groups, and its degrees of freedom:
//
//	variance = sum of (x - mean of its group)^2 / freedom,  freedom = sum of (n - 1)
//
// A group of fewer than two values says nothing and is passed over. shares has, for each
// group, its part of the sum of squares, a fraction; all are 0 where that sum is 0.
//
// Source: one-way analysis of variance; Bland JM, Altman DG. Stat Methods Med Res
// 1999;8:135-160, sections 5.1 and 5.2.
func PooledVariance(groups [][]float64) (variance float64, freedom int, shares []float64, err error) {
	shares = make([]float64, len(groups))
	sum := 0.0
	for i, group := range groups {
		if len(group) < 2 {
			continue
		}
		shares[i] = squares(group)
		sum += shares[i]
		freedom += len(group) - 1
	}
	switch {
	case freedom == 0:
		return 0, 0, nil, finding.Refuse("no group has two values; the variation within groups cannot be told")
	case math.IsNaN(sum) || math.IsInf(sum, 0):
		return 0, 0, nil, finding.Refuse("the values within a group lie too far apart to be pooled")
	case sum > 0:
		for i := range shares {
			shares[i] /= sum
		}
	}
	return sum / float64(freedom), freedom, shares, nil
}

// squares gives the sum of the squared distances from the mean.
func squares(group []float64) float64 {
	mean := 0.0
	for _, x := range group {
		mean += x
	}
	mean /= float64(len(group))
	sum := 0.0
	for _, x := range group {
		sum += (x - mean) * (x - mean)
	}
	return sum
}

// Variation is the variation within sessions, pooled over many.
type Variation struct {
	Percent float64 // coefficient of variation
	Freedom int     // degrees of freedom
	// Low and High bound the 95 % interval of Percent.
	Low, High float64
	// Shares has the part of each session in the sum of squares.
	Shares []float64
}

// PooledVariation gives the coefficient of variation within sessions, from the
// replicates of each, which must be above zero:
//
//	CV = 100 sqrt(exp(s^2) - 1)
//
// s^2 being the pooled variance of the natural logarithms. The variation of a flow grows
// with the flow, which the logarithm takes away; the last step is that of a log-normal
// value. The interval is that of s^2 by chi-square with its degrees of freedom.
//
// All technically valid replicates belong in it, also those that did not agree: a third
// one that was added because two differed does not bias s^2 (its distance from their
// mean knows nothing of their difference), whereas to keep only those that agree makes
// it too small.
//
// Source: Bland JM, Altman DG. Measurement error proportional to the mean. BMJ
// 1996;313:106 (logarithms; its last step, exp(s) - 1, differs by less than a twentieth
// of CV below 10 %); interval: statistics textbooks.
func PooledVariation(sessions [][]*big.Rat) (Variation, error) {
	groups := make([][]float64, len(sessions))
	for i, replicates := range sessions {
		for _, x := range replicates {
			if err := positive(exact{"a replicate", "", x}); err != nil {
				return Variation{}, err
			}
			f, _ := x.Float64()
			groups[i] = append(groups[i], math.Log(f))
		}
	}
	variance, freedom, shares, err := PooledVariance(groups)
	if err != nil {
		return Variation{}, err
	}
	low, high := varianceBounds(variance, freedom)
	v := Variation{Percent: percentOf(variance), Freedom: freedom, Low: percentOf(low), High: percentOf(high), Shares: shares}
	if math.IsInf(v.High, 0) || math.IsNaN(v.High) {
		return Variation{}, finding.Refuse("the replicates vary so much within {1} degrees of freedom that no interval can be given", finding.Number(freedom))
	}
	return v, nil
}

// percentOf gives the coefficient of variation of a log-normal value from the variance
// of its logarithm.
func percentOf(variance float64) float64 { return 100 * math.Sqrt(math.Expm1(variance)) }
