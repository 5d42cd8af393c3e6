package dilution

import "math"

// fitted is a straight line through points of a raster.
type fitted struct {
	n                                  int
	middleS, level, slopePerS, windowS float64
}

// straight fits a line to the used points of a range (half-open).
func straight(r raster, from, to int) (f fitted) {
	l := leastSquares(to-from, func(i int) (x, y, weight float64) {
		return r.at(from + i), r.H[from+i], boolean(r.Used[from+i])
	})
	if l.weight < 2 {
		return fitted{}
	}
	return fitted{n: int(l.weight), middleS: l.middle, level: l.level, slopePerS: l.slope, windowS: math.Sqrt(12 * l.spread / l.weight)}
}

// squares is the line level + slope (x - middle) of least weighted squares. Spread is
// the weighted sum of the squares of x - middle.
type squares struct{ weight, middle, level, slope, spread float64 }

// at gives the line at a place.
func (l squares) at(x float64) float64 { return l.level + l.slope*(x-l.middle) }

// leastSquares lays the line through n points, those without weight left out. Middle,
// level and slope are NaN where nothing has weight, the slope where all x are the same.
func leastSquares(n int, point func(i int) (x, y, weight float64)) (l squares) {
	for i := range n {
		if x, y, w := point(i); w != 0 {
			l.weight, l.middle, l.level = l.weight+w, l.middle+w*x, l.level+w*y
		}
	}
	l.middle, l.level = l.middle/l.weight, l.level/l.weight
	var together float64
	for i := range n {
		if x, y, w := point(i); w != 0 {
			l.spread += w * (x - l.middle) * (x - l.middle)
			together += w * (x - l.middle) * (y - l.level)
		}
	}
	l.slope = together / l.spread
	return l
}
