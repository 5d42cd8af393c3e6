// Package trace turns the recording of a sensor, as a CSV file carries it, into
// evenly spaced, quantised series, and those into the text of FHIR's SampledData
// and back.
//
// It knows two columns, arterial and venous, and three units: volume fraction (1),
// per cent (%) and speed of sound (m/s). It refuses to know what a curve means:
// baseline, injection, calibration and flow belong elsewhere, and so does the time
// of day; time here counts from an origin that the file chose.
//
// Numbers. A written value is a decimal and stays one. A series holds whole
// numbers (samples) with a decimal factor and origin:
//
//	value = origin + factor x sample
//
// The factor is 10^-d, d being the most decimals written in the column, at most
// six; so every written digit is kept, or a finding says that it was rounded (half
// away from zero). The origin is the whole part of the value nearest to zero, 0
// where values lie on both sides of it. Times are kept to the nanosecond, texts of
// time are in milliseconds.
//
// Even spacing. Time stamps that lie within one unit of their last written digit
// of an even grid, as rounding leaves them, are taken as that grid. Else the trace is resampled: linearly,
// to the median step, with a finding that says so. A step of two medians or more
// is a gap: nothing is invented in it, its samples are marked as errors, as an
// empty cell is.
//
// Limits: 32 MiB a file, 2,000,000 samples a column, values below 10^9 in size,
// times within 10^6 s of their origin. The format of SampledData is that of FHIR
// R4 (data type SampledData).
package trace

import (
	"fmt"
	"math"

	"saltmark/internal/finding"
)

// Names of the columns that a series may come from.
const (
	Arterial = "arterial"
	Venous   = "venous"
)

// Marks stand in Samples where there is no number. No number of a series is as
// small as they are.
const (
	// Missing is FHIR's E: no valid sample.
	Missing int32 = math.MinInt32 + iota
	// Below is FHIR's L: below the lower limit of detection.
	Below
	// Beyond is FHIR's U: above the upper limit of detection.
	Beyond
)

// largestSample bounds the size of a sample that is a number.
const largestSample = math.MaxInt32 - 2

// Series is one evenly sampled, quantised curve. Numbers stand as decimal text.
type Series struct {
	Name   string // Arterial or Venous
	Unit   string // UCUM code of the values
	Origin string // value of sample 0, in Unit
	Factor string // value of one step, in Unit
	// LowerLimit and UpperLimit are the limits of detection, "" where not known.
	LowerLimit, UpperLimit string
	StartMs                string  // time of the first sample, ms
	PeriodMs               string  // time between two samples, ms
	Samples                []int32 // numbers or marks
}

// marked tells whether a sample is a mark and no number.
func marked(sample int32) bool { return sample <= Beyond }

// scale gives origin and factor as whole numbers of 10^-places.
func (s Series) scale() (origin, factor int64, places int, err error) {
	o, err := parseText("origin", s.Origin)
	if err != nil {
		return 0, 0, 0, err
	}
	f, err := parseText("factor", s.Factor)
	if err != nil {
		return 0, 0, 0, err
	}
	places = max(o.places, f.places)
	origin, _, ok := o.scaled(places)
	// Origin plus factor times any sample must stay in 63 bits.
	if !ok || places > maxDigits || origin > 1<<61 || origin < -1<<61 {
		return 0, 0, 0, finding.Refuse("origin {1} and factor {2} have too many digits between them", finding.Data(s.Origin), finding.Data(s.Factor))
	}
	factor, _, ok = f.scaled(places)
	if !ok || factor == 0 || factor > 1<<30 || factor < -1<<30 {
		return 0, 0, 0, finding.Refuse("factor {1} is zero or has too many digits beside origin {2}", finding.Data(s.Factor), finding.Data(s.Origin))
	}
	return origin, factor, places, nil
}

// Values gives the series as numbers in its unit, NaN where a mark stands. Each is
// the float64 nearest to the decimal value as long as that has at most 15 digits.
func (s Series) Values() ([]float64, error) {
	origin, factor, places, err := s.scale()
	if err != nil {
		return nil, err
	}
	unit := float64(pow10(places))
	values := make([]float64, len(s.Samples))
	for i, sample := range s.Samples {
		if marked(sample) {
			values[i] = math.NaN()
			continue
		}
		values[i] = float64(origin+factor*int64(sample)) / unit
	}
	return values, nil
}

// Seconds gives the time of the first sample and the time between two samples in
// seconds.
func (s Series) Seconds() (start, period float64, err error) {
	first, err := parseText("start", s.StartMs)
	if err != nil {
		return 0, 0, err
	}
	step, err := parseText("period", s.PeriodMs)
	if err != nil {
		return 0, 0, err
	}
	if step.digits <= 0 {
		return 0, 0, fmt.Errorf("period is %s ms; a number above 0 is wanted", s.PeriodMs)
	}
	return first.seconds(), step.seconds(), nil
}

// Count gives how often a mark stands in the series.
func (s Series) Count(mark int32) int {
	n := 0
	for _, sample := range s.Samples {
		if sample == mark {
			n++
		}
	}
	return n
}
