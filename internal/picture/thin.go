package picture

import "math"

// span gives the samples of a curve between two times: from first to before last.
func (c Curve) span(from, to float64) (first, last int) {
	n := len(c.Values)
	if !usable(c.StartS) || !usable(c.StepS) || c.StepS <= 0 {
		return 0, 0
	}
	if stretch(c.FromS, c.ToS) {
		from, to = math.Max(from, c.FromS), math.Min(to, c.ToS)
	}
	index := func(t float64) int { return int(math.Max(-1, math.Min(float64(n), t))) }
	first = max(0, index(math.Ceil((from-c.StartS)/c.StepS-1e-9)))
	last = min(n, index(math.Floor((to-c.StartS)/c.StepS+1e-9))+1)
	for first < last && c.at(first) < from-slack(from, to) {
		first++
	}
	for first < last && c.at(last-1) > to+slack(from, to) {
		last--
	}
	return first, max(first, last)
}

// slack lets a sample count that rounding put beside the end of a stretch.
func slack(from, to float64) float64 { return 1e-6 * (to - from) }

func (c Curve) at(i int) float64 { return c.StartS + float64(i)*c.StepS }

// pieces gives the line of a curve between two times in pixels: a piece for each part
// without a gap, thinned to what the columns can show.
func (c Curve) pieces(from, to float64, x, y scale) [][]point {
	first, last := c.span(from, to)
	if thin := float64(last-first) > 3*math.Abs(x.last-x.first); thin {
		return c.columns(first, last, x, y)
	}
	var pieces [][]point
	var piece []point
	for i := first; i <= last; i++ {
		if i < last && usable(c.Values[i]) {
			piece = append(piece, point{x.at(c.at(i)), y.at(c.Values[i])})
			continue
		}
		if len(piece) > 0 {
			pieces = append(pieces, simplified(piece))
		}
		piece = nil
	}
	return pieces
}

// columns gives, for each column of pixels, the least and the greatest value in it, in
// the order in which they came. A column without a value is a gap.
func (c Curve) columns(first, last int, x, y scale) [][]point {
	var pieces [][]point
	var piece []point
	for i := first; i < last; {
		column := math.Floor(x.at(c.at(i)))
		low, high := -1, -1
		for ; i < last && math.Floor(x.at(c.at(i))) == column; i++ {
			v := c.Values[i]
			if !usable(v) {
				continue
			}
			if low < 0 || v < c.Values[low] {
				low = i
			}
			if high < 0 || v > c.Values[high] {
				high = i
			}
		}
		if low < 0 {
			if len(piece) > 0 {
				pieces = append(pieces, piece)
			}
			piece = nil
			continue
		}
		a, b := min(low, high), max(low, high)
		piece = append(piece, point{x.at(c.at(a)), y.at(c.Values[a])})
		if b != a {
			piece = append(piece, point{x.at(c.at(b)), y.at(c.Values[b])})
		}
	}
	if len(piece) > 0 {
		pieces = append(pieces, piece)
	}
	return pieces
}

// straight is how far in pixels a point may lie off the line that leaves it out.
const straight = 0.08

// simplified leaves out the points that lie on the line between their neighbours.
func simplified(points []point) []point {
	if len(points) < 3 {
		return points
	}
	keep := []point{points[0]}
	start := 0
	for end := 2; end < len(points); end++ {
		if end-start > 60 || !near(points[start:end+1]) {
			keep = append(keep, points[end-1])
			start = end - 1
		}
	}
	return append(keep, points[len(points)-1])
}

// near tells whether all points lie near the line from the first to the last.
func near(points []point) bool {
	a, b := points[0], points[len(points)-1]
	dx, dy := b.x-a.x, b.y-a.y
	length := math.Hypot(dx, dy)
	for _, p := range points[1 : len(points)-1] {
		off := math.Hypot(p.x-a.x, p.y-a.y)
		if length > 0 {
			off = math.Abs(dx*(p.y-a.y)-dy*(p.x-a.x)) / length
		}
		if off > straight {
			return false
		}
	}
	return true
}
