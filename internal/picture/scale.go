package picture

import (
	"math"
	"strconv"
)

// largest is the size above which a value counts as missing.
const largest = 1e9

// usable tells whether a value can be drawn.
func usable(x float64) bool { return math.Abs(x) <= largest } // NaN is not

// stretch tells whether two times bound a stretch of time.
func stretch(from, to float64) bool { return usable(from) && usable(to) && from < to }

// scale leads from values to pixels.
type scale struct {
	from, to     float64 // values
	first, last  float64 // pixels
	step         float64 // between ticks
	decimals     int     // of their labels
	ticks        []float64
	tickLabelled []string
}

// newScale makes a scale with about so many ticks.
func newScale(from, to, first, last float64, wanted int) scale {
	if !stretch(from, to) || to-from < 1e-12*math.Max(math.Abs(from), math.Abs(to)) {
		middle := 0.0
		if usable(from) {
			middle = from
		}
		half := math.Max(math.Abs(middle)/10, 0.5)
		from, to = middle-half, middle+half
	}
	s := scale{from: from, to: to, first: first, last: last}
	s.step, s.decimals = tickStep((to - from) / float64(max(wanted, 1)))
	for n := math.Ceil(from/s.step - 1e-9); n*s.step <= to+1e-9*s.step && len(s.ticks) < 50; n++ {
		at := n * s.step
		s.ticks = append(s.ticks, at)
		s.tickLabelled = append(s.tickLabelled, plain(at, s.decimals))
	}
	return s
}

// tickStep rounds a step up to 1, 2 or 5 times a power of ten, and gives the decimals
// that tell its multiples apart.
func tickStep(least float64) (step float64, decimals int) {
	power := math.Floor(math.Log10(least))
	for _, times := range []float64{1, 2, 5, 10} {
		step = times * math.Pow(10, power)
		if step >= least*(1-1e-9) {
			break
		}
	}
	return step, max(0, -int(math.Floor(math.Log10(step)+1e-9)))
}

// at gives the pixel of a value.
func (s scale) at(x float64) float64 {
	return s.first + (x-s.from)/(s.to-s.from)*(s.last-s.first)
}

// plain writes a number without an exponent, and without a sign for nought.
func plain(x float64, decimals int) string {
	text := strconv.FormatFloat(x, 'f', decimals, 64)
	if zero, err := strconv.ParseFloat(text, 64); err == nil && zero == 0 {
		return strconv.FormatFloat(0, 'f', decimals, 64)
	}
	return text
}
