package trace

import (
	"fmt"
	"math"
	"strconv"
)

// Uniform makes a series of evenly spaced numbers, each rounded to the given number of
// decimals; where a value is NaN, a sample is missing. It is for curves that were
// computed, so its errors are of the caller: more than six decimals, a number that does
// not fit, a step below a microsecond.
func Uniform(name, unit string, startS, stepS float64, values []float64, decimals int) (Series, error) {
	const longestS, finest = 1e6, 6
	if decimals < 0 || decimals > finest {
		return Series{}, fmt.Errorf("%d decimals; 0 to %d are kept", decimals, finest)
	}
	if !(math.Abs(startS) < longestS) || !(stepS >= 1e-6 && stepS < longestS) {
		return Series{}, fmt.Errorf("a start at %g s and a step of %g s; times within %g s and a step from 1 µs are wanted", startS, stepS, longestS)
	}
	s := Series{
		Name: name, Unit: unit, Origin: "0", Factor: strconv.FormatFloat(math.Pow10(-decimals), 'f', decimals, 64),
		StartMs: milliseconds(startS), PeriodMs: milliseconds(stepS), Samples: make([]int32, len(values)),
	}
	scale := math.Pow10(decimals)
	for i, v := range values {
		if math.IsNaN(v) {
			s.Samples[i] = Missing
			continue
		}
		sample := math.Round(v * scale)
		if !(math.Abs(sample) <= largestSample) {
			return Series{}, fmt.Errorf("value %d is %g, which does not fit with %d decimals", i, v, decimals)
		}
		s.Samples[i] = int32(sample)
	}
	return s, nil
}

// milliseconds rounds to the microsecond.
func milliseconds(s float64) string {
	return decimal{digits: int64(math.Round(s * 1e6)), places: 3}.text()
}
