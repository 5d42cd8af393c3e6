package picture

import "math"

// want is a label that has to go somewhere near a curve.
type want struct {
	width, height float64
	anchors       []anchor // points of its curve that it may point to
}

// anchor is such a point, and how much longer a leader it is not worth, in pixels.
type anchor struct {
	point
	dear float64
}

// placed is where it went. to is the point of the curve that it belongs to.
type placed struct {
	box box
	to  point
	ok  bool
}

// cell is the size in pixels of what the cover knows.
const cell = 2.0

// cover tells where in a frame something is drawn: sums over a grid of cells, so that
// a box is asked in one step.
type cover struct {
	frame box
	w, h  int
	sums  []int32
}

func newCover(frame box) *cover {
	c := &cover{frame: frame}
	c.w = max(1, int(math.Ceil((frame.x1-frame.x0)/cell)))
	c.h = max(1, int(math.Ceil((frame.y1-frame.y0)/cell)))
	c.sums = make([]int32, (c.w+1)*(c.h+1))
	return c
}

// line marks the cells that a line passes.
func (c *cover) line(points []point) {
	for i := range points {
		from := points[max(0, i-1)]
		to := points[i]
		steps := int(math.Hypot(to.x-from.x, to.y-from.y)/(cell/2)) + 1
		for s := range steps + 1 {
			part := float64(s) / float64(steps)
			c.mark(from.x+part*(to.x-from.x), from.y+part*(to.y-from.y))
		}
	}
}

func (c *cover) mark(x, y float64) {
	i, j := int((x-c.frame.x0)/cell), int((y-c.frame.y0)/cell)
	if x < c.frame.x0 || y < c.frame.y0 || i >= c.w || j >= c.h {
		return
	}
	c.sums[(j+1)*(c.w+1)+i+1] = 1
}

// sum ends the marking.
func (c *cover) sum() {
	for j := 1; j <= c.h; j++ {
		row := int32(0)
		for i := 1; i <= c.w; i++ {
			row += c.sums[j*(c.w+1)+i]
			c.sums[j*(c.w+1)+i] = row + c.sums[(j-1)*(c.w+1)+i]
		}
	}
}

// free tells whether nothing is drawn in a box.
func (c *cover) free(b box) bool {
	i0 := max(0, int(math.Floor((b.x0-c.frame.x0)/cell)))
	j0 := max(0, int(math.Floor((b.y0-c.frame.y0)/cell)))
	i1 := min(c.w, int(math.Ceil((b.x1-c.frame.x0)/cell)))
	j1 := min(c.h, int(math.Ceil((b.y1-c.frame.y0)/cell)))
	if i0 >= i1 || j0 >= j1 {
		return true
	}
	w := c.w + 1
	return c.sums[j1*w+i1]-c.sums[j0*w+i1]-c.sums[j1*w+i0]+c.sums[j0*w+i0] == 0
}

// crossed is how much longer a leader seems for what it crosses on its way, in pixels;
// around its end it meets the curve that it points to.
func (c *cover) crossed(l leader) float64 {
	const end, dear = 8.0, 8.0
	length, sum := math.Hypot(l.to.x-l.from.x, l.to.y-l.from.y), 0.0
	for gone := 0.0; gone < length-end; gone += cell {
		x, y := l.from.x+(l.to.x-l.from.x)*gone/length, l.from.y+(l.to.y-l.from.y)*gone/length
		if !c.free(box{x, y, x + 0.1, y + 0.1}) {
			sum += dear
		}
	}
	return sum
}

// leader is a line from a label to its curve.
type leader struct{ from, to point }

// place finds for each label, in their order, the free box inside the frame that is
// nearest to one of its anchors. It covers no label, nothing that is drawn and no
// leader of another; its own leader crosses no label and no leader, and curves only
// where it must. A label that fits nowhere so is not placed.
func place(c *cover, wants []want) []placed {
	result := make([]placed, len(wants))
	var leaders []leader
	var boxes []box
	for n, w := range wants {
		best := math.Inf(1)
		var chosen leader
		for _, b := range candidates(c, w) {
			if !fits(b.grown(1), boxes, leaders) {
				continue
			}
			for _, a := range w.anchors {
				l := leader{exit(b, a.point), a.point}
				cost := math.Hypot(l.from.x-l.to.x, l.from.y-l.to.y) + a.dear
				if cost >= best || crosses(l, boxes, leaders) {
					continue
				}
				if cost += c.crossed(l); cost < best {
					best, chosen, result[n] = cost, l, placed{b, a.point, true}
				}
			}
		}
		if result[n].ok {
			boxes, leaders = append(boxes, result[n].box), append(leaders, chosen)
		}
	}
	return result
}

// candidates are the free boxes of a label's size on a grid.
func candidates(c *cover, w want) []box {
	var free []box
	for y := c.frame.y0 + 1; y+w.height <= c.frame.y1-1; y += 4 {
		for x := c.frame.x0 + 6; x+w.width <= c.frame.x1-4; x += 6 {
			if b := (box{x, y, x + w.width, y + w.height}); c.free(b.grown(1.5)) {
				free = append(free, b)
			}
		}
	}
	return free
}

func fits(b box, boxes []box, leaders []leader) bool {
	for _, other := range boxes {
		if b.overlaps(other) {
			return false
		}
	}
	for _, l := range leaders {
		if passes(l, b) {
			return false
		}
	}
	return true
}

func crosses(l leader, boxes []box, leaders []leader) bool {
	for _, b := range boxes {
		if passes(l, b.grown(1)) {
			return true
		}
	}
	for _, other := range leaders {
		if meet(l, other) {
			return true
		}
	}
	return false
}

// exit gives the point of a box from which a leader goes to a point: the middle of its
// left or right side, or the nearest point above or below.
func exit(b box, to point) point {
	middle, x := (b.y0+b.y1)/2, math.Max(b.x0, math.Min(b.x1, to.x))
	best, nearest := point{}, math.Inf(1)
	for _, p := range [4]point{{b.x0, middle}, {b.x1, middle}, {x, b.y0}, {x, b.y1}} {
		if d := math.Hypot(p.x-to.x, p.y-to.y); d < nearest {
			best, nearest = p, d
		}
	}
	return best
}

// passes tells whether a line passes through a box (Liang and Barsky 1984).
func passes(l leader, b box) bool {
	enter, leave := 0.0, 1.0
	dx, dy := l.to.x-l.from.x, l.to.y-l.from.y
	for _, side := range [4][2]float64{{-dx, l.from.x - b.x0}, {dx, b.x1 - l.from.x}, {-dy, l.from.y - b.y0}, {dy, b.y1 - l.from.y}} {
		switch p, q := side[0], side[1]; {
		case p == 0 && q < 0:
			return false
		case p < 0:
			enter = math.Max(enter, q/p)
		case p > 0:
			leave = math.Min(leave, q/p)
		}
	}
	return enter <= leave
}

// meet tells whether two lines cross.
func meet(a, b leader) bool {
	side := func(l leader, p point) float64 {
		return (l.to.x-l.from.x)*(p.y-l.from.y) - (l.to.y-l.from.y)*(p.x-l.from.x)
	}
	return side(a, b.from)*side(a, b.to) < 0 && side(b, a.from)*side(b, a.to) < 0
}
