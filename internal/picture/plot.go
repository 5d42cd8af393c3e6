package picture

import (
	"math"
	"slices"
)

// plot is the drawing of one panel. Its frame begins at y 0; what stands above it has
// a y below nought until the panel is put into the picture.
type plot struct {
	drawing
	frame box
	x, y  scale
	cover *cover
	lines []line
}

// line is a curve on its way into the plot.
type line struct {
	role   Role
	label  string
	pen    pen
	pieces [][]point
	at     []float64 // y in each column of the frame, NaN where there is none
}

func newPlot(text *metrics, p Panel, x scale) *plot {
	height := p.height()
	low, high := p.values(x.from, x.to)
	b := &plot{
		drawing: drawing{text: text}, x: x,
		frame: box{x.first, 0, x.last, height},
		y:     newScale(low, high, height, 0, p.ticks()),
	}
	b.cover = newCover(b.frame)
	return b
}

func (p Panel) height() float64 {
	if !usable(p.Height) || p.Height < 40 {
		return usualHeight
	}
	return math.Min(p.Height, 2000)
}

// ticks is how many values an upright axis has room for.
func (p Panel) ticks() int { return int(p.height() / 32) }

// values gives the range of what a panel shows between two times, with some room: that
// of what was recorded, and of the other lines as far as they stay near it.
func (p Panel) values(from, to float64) (low, high float64) {
	low, high = rangeOf(p.Curves, from, to, func(r Role) bool { return r == Recorded })
	wide, top := rangeOf(p.Curves, from, to, func(r Role) bool { return r != Recorded })
	switch {
	case low > high:
		low, high = wide, top
	case wide <= top:
		near := (high - low) / 3
		low, high = math.Min(low, math.Max(wide, low-near)), math.Max(high, math.Min(top, high+near))
	}
	if low > high {
		return math.NaN(), math.NaN()
	}
	for _, l := range p.Levels {
		if near := (high - low) / 3; usable(l.Value) && l.Value > low-near && l.Value < high+near {
			low, high = math.Min(low, l.Value), math.Max(high, l.Value)
		}
	}
	room := (high - low) * 0.06
	return low - room, high + room
}

func rangeOf(curves []Curve, from, to float64, of func(Role) bool) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, c := range curves {
		if !of(c.Role) {
			continue
		}
		first, last := c.span(from, to)
		for _, v := range c.Values[first:last] {
			if usable(v) {
				low, high = math.Min(low, v), math.Max(high, v)
			}
		}
	}
	return low, high
}

// grid draws the lines of the ticks, and beside them the values.
func (p *plot) grid() {
	thin := pen{paleGrey, 0.8, nil}
	for _, at := range p.x.ticks {
		p.stroke(thin, point{p.x.at(at), p.frame.y0}, point{p.x.at(at), p.frame.y1})
	}
	for i, at := range p.y.ticks {
		y := p.y.at(at)
		p.stroke(thin, point{p.frame.x0, y}, point{p.frame.x1, y})
		label := p.y.tickLabelled[i]
		p.write(label, p.frame.x0-6-p.text.width(label, textSize), y-(ascent+depth)*textSize/2, textSize)
	}
}

func (p *plot) edge() {
	f := p.frame
	p.stroke(pen{grey, 1, nil}, point{f.x0, f.y0}, point{f.x0, f.y1}, point{f.x1, f.y1}, point{f.x1, f.y0}, point{f.x0, f.y0})
}

// backed writes text on white, so that a line behind it does not strike it through.
func (p *plot) backed(text string, x, y float64) {
	b := p.text.box(text, x, y, textSize)
	p.shapes = append(p.shapes, fill{box{b.x0 - 2, b.y0, b.x1 + 2, b.y1}, white})
	p.write(text, x, y, textSize)
}

// curves draws the curves, the recorded ones first, and gives the lines to label.
func (p *plot) curves(curves []Curve) {
	ordered := slices.Clone(curves)
	slices.SortStableFunc(ordered, func(a, b Curve) int { return int(a.Role) - int(b.Role) })
	for _, c := range ordered {
		if !usable(c.TailS) || c.TailS == 0 {
			p.add(c, c.Label, c.Role.pen(), p.x.from, p.x.to)
			continue
		}
		p.add(c, c.Label, c.Role.pen(), p.x.from, math.Min(c.TailS, p.x.to))
		p.add(c, c.TailLabel, c.Role.pen().tail(), math.Max(c.TailS, p.x.from), p.x.to)
	}
}

// add draws one line.
func (p *plot) add(c Curve, label string, with pen, from, to float64) {
	pieces := within(c.pieces(from, to, p.x, p.y), p.frame.y0, p.frame.y1)
	if len(pieces) == 0 {
		return
	}
	p.shapes = append(p.shapes, stroke{pieces, with})
	l := line{role: c.Role, label: label, pen: with, pieces: pieces, at: columnsOf(pieces, p.frame)}
	for _, piece := range pieces {
		p.cover.line(piece)
	}
	p.lines = append(p.lines, l)
}

// level draws a level line.
func (p *plot) level(l Level) {
	if !usable(l.Value) || l.Value < p.y.from || l.Value > p.y.to {
		return
	}
	y := p.y.at(l.Value)
	piece := []point{{p.frame.x0, y}, {p.frame.x1, y}}
	p.stroke(Limit.pen(), piece...)
	p.cover.line(piece)
	p.lines = append(p.lines, line{role: Limit, label: l.Label, pen: Limit.pen(), pieces: [][]point{piece}, at: columnsOf([][]point{piece}, p.frame)})
}

// within cuts pieces off where they leave the frame upwards or downwards.
func within(pieces [][]point, top, bottom float64) [][]point {
	var kept [][]point
	for _, piece := range pieces {
		var run []point
		for i, p := range piece {
			in := p.y >= top && p.y <= bottom
			if i > 0 {
				before := piece[i-1]
				was := before.y >= top && before.y <= bottom
				if was != in {
					run = append(run, cutAt(before, p, top, bottom))
				}
				if was && !in {
					kept, run = append(kept, run), nil
				}
			}
			if in {
				run = append(run, p)
			}
		}
		if len(run) > 0 {
			kept = append(kept, run)
		}
	}
	return kept
}

// cutAt gives the point at which the line between two points leaves the frame.
func cutAt(a, b point, top, bottom float64) point {
	edge := top
	if a.y > bottom || b.y > bottom {
		edge = bottom
	}
	return point{a.x + (b.x-a.x)*(edge-a.y)/(b.y-a.y), edge}
}

// columnsOf gives the height of a line in each column of a frame.
func columnsOf(pieces [][]point, frame box) []float64 {
	at := make([]float64, max(0, int(frame.x1-frame.x0)))
	for i := range at {
		at[i] = math.NaN()
	}
	for _, piece := range pieces {
		for i := 1; i < len(piece); i++ {
			a, b := piece[i-1], piece[i]
			for x := max(0, int(math.Ceil(a.x-frame.x0))); x < len(at) && float64(x)+frame.x0 <= b.x; x++ {
				part := 0.0
				if b.x > a.x {
					part = (float64(x) + frame.x0 - a.x) / (b.x - a.x)
				}
				at[x] = a.y + part*(b.y-a.y)
			}
		}
	}
	return at
}
