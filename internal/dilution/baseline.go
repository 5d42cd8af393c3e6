package dilution

import "math"

// line fits level and slope by least squares to the samples of a curve from one time to
// another, skipping missing ones. Level is at time nought. With fewer than two samples
// at different times there is no slope, with none no line.
func line(startS, stepS float64, h []float64, fromS, toS float64) (b Baseline, n int) {
	from, to := samples(startS, stepS, len(h), fromS, toS)
	b.FromS, b.ToS = fromS, toS
	l := leastSquares(to-from, func(i int) (x, y, weight float64) {
		return float64(i), h[from+i], boolean(!math.IsNaN(h[from+i]))
	})
	n = int(l.weight)
	if n == 0 {
		return b, 0
	}
	if l.spread > 0 {
		b.SlopePerS = l.slope / stepS
	}
	b.Level = l.level - b.SlopePerS*(startS+(float64(from)+l.middle)*stepS)
	return b, n
}

// samples gives the range of samples from one time to another, half-open.
func samples(startS, stepS float64, n int, fromS, toS float64) (from, to int) {
	bound := func(atS float64) int {
		i := math.Ceil((atS-startS)/stepS - 1e-9)
		if !(i > 0) {
			return 0
		}
		return int(min(i, float64(n)))
	}
	from, to = bound(fromS), bound(toS)
	return from, max(from, to)
}

// subtract takes the baseline off.
func (b Baseline) subtract(startS, stepS float64, h []float64) {
	for i := range h {
		h[i] -= b.Level + b.SlopePerS*(startS+float64(i)*stepS)
	}
}

// at gives the baseline at a time.
func (b Baseline) at(s float64) float64 { return b.Level + b.SlopePerS*s }
