package picture

import (
	"math"
	"slices"
)

// labels puts the names of the lines beside them, first of those that run alone for the
// shortest way. What finds no free place is given back, to be named above the panel.
func (p *plot) labels() (left []line) {
	p.cover.sum()
	var named []int
	anchors := make([][]anchor, len(p.lines))
	for i, l := range p.lines {
		if l.label != "" {
			named, anchors[i] = append(named, i), p.anchors(i)
		}
	}
	slices.SortStableFunc(named, func(a, b int) int { return alone(anchors[a]) - alone(anchors[b]) })
	var wants []want
	var wanted []line
	for _, i := range named {
		l := p.lines[i]
		l.label = p.text.cut(l.label, textSize, p.frame.x1-p.frame.x0-sampleLength-5*labelGap)
		wants = append(wants, want{
			width: sampleLength + labelGap + p.text.width(l.label, textSize), height: (ascent + depth) * textSize,
			anchors: anchors[i],
		})
		wanted = append(wanted, l)
	}
	for i, at := range place(p.cover, wants) {
		if !at.ok {
			left = append(left, wanted[i])
			continue
		}
		if from := exit(at.box.grown(1), at.to); math.Hypot(from.x-at.to.x, from.y-at.to.y) > 5 {
			p.stroke(pen{ink, 0.7, nil}, from, at.to)
			p.shapes = append(p.shapes, fill{box{at.to.x - 1.6, at.to.y - 1.6, at.to.x + 1.6, at.to.y + 1.6}, ink})
		}
		p.name(wanted[i], at.box.x0, at.box.y0)
	}
	return left
}

// name writes the name of a line behind a piece of it.
func (d *drawing) name(l line, x, y float64) {
	middle := y + (ascent+depth)*textSize/2
	d.stroke(l.pen, point{x, middle}, point{x + sampleLength, middle})
	d.write(l.label, x+sampleLength+labelGap, y, textSize)
}

// alone counts the anchors near which no other line is.
func alone(all []anchor) (n int) {
	for _, a := range all {
		if a.dear == 0 {
			n++
		}
	}
	return n
}

// anchors gives points of a line that a label may point to: best where no other line
// is near, so that nobody takes one for the other. What was recorded is everywhere.
func (p *plot) anchors(of int) []anchor {
	const apart, every, dear = 5.0, 7, 60.0
	var all []anchor
	own := p.lines[of].at
	for x := every; x < len(own)-1; x += every {
		if math.IsNaN(own[x]) {
			continue
		}
		near := apart
		for j, other := range p.lines {
			if j != of && other.role != Recorded && x < len(other.at) && !math.IsNaN(other.at[x]) {
				near = math.Min(near, math.Abs(other.at[x]-own[x]))
			}
		}
		all = append(all, anchor{point{p.frame.x0 + float64(x), own[x]}, dear * (1 - near/apart)})
	}
	if len(all) == 0 { // a line shorter than the steps
		piece := p.lines[of].pieces[0]
		all = append(all, anchor{piece[len(piece)/2], 0})
	}
	return all
}
