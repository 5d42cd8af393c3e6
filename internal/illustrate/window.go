package illustrate

import (
	"math"
	"strconv"

	"saltmark/internal/derive"
	"saltmark/internal/dilution"
)

// window is the time that is shown of a recording, in s.
type window struct{ fromS, toS, firstS, lastS float64 }

// Bounds of what is shown around the first pass. Common practice, no source: enough of
// what recirculates to see it, enough before to see the baseline.
const (
	peaksShown   = 5.0 // times from the injection to the peak
	leastShownS  = 40.0
	mostShownS   = 150.0
	beforeShown  = 0.15 // part of that, before the injection
	wholeUpToS   = 60.0
	unknownPeakS = 15.0
)

// windowOf gives the time that is shown.
func windowOf(c *derive.Computed, whole bool) window {
	w := window{firstS: math.Inf(1), lastS: math.Inf(-1)}
	for _, curve := range []dilution.Curve{c.Input.Arterial, c.Input.Venous} {
		if !curve.Empty() {
			w.firstS = math.Min(w.firstS, curve.StartS)
			w.lastS = math.Max(w.lastS, curve.StartS+float64(len(curve.Values)-1)*curve.StepS)
		}
	}
	w.fromS, w.toS = w.firstS, w.lastS
	if whole || !(w.lastS-w.firstS > wholeUpToS) {
		return w
	}
	peak := c.Result.PeakS
	if !(peak > 0 && peak < mostShownS) {
		peak = unknownPeakS
	}
	to := math.Min(math.Max(peaksShown*peak, leastShownS), mostShownS)
	if from := math.Max(w.firstS, -beforeShown*to); from < math.Min(w.lastS, to) {
		w.fromS, w.toS = from, math.Min(w.lastS, to)
	}
	return w
}

// shown says which part is shown, where it is not all.
func (i illustration) shown(w window) string {
	if w.fromS == w.firstS && w.toS == w.lastS {
		return ""
	}
	return i.of(say.shown, "from", figure(w.fromS, 0), "to", figure(w.toS, 0), "first", figure(w.firstS, 0), "last", figure(w.lastS, 0))
}

// figure writes a number with some decimals; what is none is a question mark.
func figure(x float64, decimals int) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "?"
	}
	text := strconv.FormatFloat(x, 'f', decimals, 64)
	if zero, err := strconv.ParseFloat(text, 64); err == nil && zero == 0 {
		return strconv.FormatFloat(0, 'f', decimals, 64)
	}
	return text
}
