package dilution

import "math"

// fitted is a straight line through points of a raster.
type fitted struct {
	n                                  int
	middleS, level, slopePerS, windowS float64
}

// straight fits a line to the used points of a range (half-open).
func straight(r raster, from, to int) (f fitted) {
	var times float64
	for i := from; i < to; i++ {
		if r.Used[i] {
			f.n++
			times += r.at(i)
			f.level += r.H[i]
		}
	}
	if f.n < 2 {
		return fitted{}
	}
	f.middleS, f.level = times/float64(f.n), f.level/float64(f.n)
	var tt, tv float64
	for i := from; i < to; i++ {
		if t := r.at(i) - f.middleS; r.Used[i] {
			tt += t * t
			tv += t * (r.H[i] - f.level)
		}
	}
	f.slopePerS = tv / tt
	f.windowS = math.Sqrt(12 * tt / float64(f.n))
	return f
}
