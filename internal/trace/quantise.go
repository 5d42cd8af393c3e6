package trace

import "math"

const (
	// maxPlaces is how many decimals of a value are kept.
	maxPlaces = 6
	// valueLimit bounds the size of a value, in its unit.
	valueLimit = 1_000_000_000
)

// cells are the values of one column as they were written; a cell with places
// below zero is empty.
type cells []decimal

// quantised is what a column comes to.
type quantised struct {
	series  Series
	rounded bool // a written digit other than 0 was lost
	drawn   int  // points drawn between rows
}

// quantise lays the column on the grid and turns it into samples. It keeps six
// decimals, and fewer only where samples would not fit otherwise.
func (c cells) quantise(times []int64, g grid) quantised {
	places := 0
	for _, cell := range c {
		places = max(places, cell.places)
	}
	for places = min(places, maxPlaces); ; places-- {
		values, rounded := c.scaled(places)
		points, drawn := resample(values, times, g)
		origin := wholePart(points, places)
		samples, fits := toSamples(points, origin*pow10(places))
		if !fits && places > 0 {
			continue
		}
		return quantised{rounded: rounded, drawn: drawn, series: Series{
			Origin:   decimal{digits: origin}.text(),
			Factor:   decimal{digits: 1, places: places}.text(),
			StartMs:  msText(g.start),
			PeriodMs: msText(g.period),
			Samples:  samples,
		}}
	}
}

// scaled gives the values as whole numbers of 10^-places.
func (c cells) scaled(places int) (values []int64, rounded bool) {
	values = make([]int64, len(c))
	for i, cell := range c {
		if cell.places < 0 {
			values[i] = missing
			continue
		}
		whole, lost, _ := cell.scaled(places)
		values[i], rounded = whole, rounded || lost
	}
	return values, rounded
}

// wholePart is the whole part of the point nearest to zero, 0 where points lie on
// both sides of zero.
func wholePart(points []int64, places int) int64 {
	low, high := int64(math.MaxInt64), int64(math.MinInt64)
	for _, p := range points {
		if p != missing {
			low, high = min(low, p), max(high, p)
		}
	}
	switch {
	case low > high:
		return 0
	case low > 0:
		return low / pow10(places)
	case high < 0:
		return high / pow10(places)
	}
	return 0
}

// toSamples takes the origin off the points. It does not fit where a sample would
// be too large.
func toSamples(points []int64, origin int64) (samples []int32, fits bool) {
	samples = make([]int32, len(points))
	for i, p := range points {
		if p == missing {
			samples[i] = Missing
			continue
		}
		if p -= origin; p > largestSample || p < -largestSample {
			return nil, false
		}
		samples[i] = int32(p)
	}
	return samples, true
}

// msText writes ns as ms.
func msText(ns int64) string { return decimal{digits: ns, places: 6}.text() }
