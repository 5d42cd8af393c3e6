package picture

import (
	"cmp"
	"math"
	"slices"
)

// row is a label or a bar that goes into one of several rows of equal height.
type row struct {
	box  box // y counts from the top of its row
	tier int
}

// tiers puts boxes into as few rows as a greedy walk from the right finds, so that none
// overlaps another of its row. Of each it is given the places that it may take, the
// best first.
func tiers(boxes [][]box) (rows []row, count int) {
	order := make([]int, len(boxes))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(boxes[b][0].x0, boxes[a][0].x0) })
	rows = make([]row, len(boxes))
	var taken [][]box // of each row
	for _, i := range order {
		rows[i] = row{boxes[i][0], len(taken)}
		for tier := 0; tier < len(taken) && rows[i].tier == len(taken); tier++ {
			if free := slices.IndexFunc(boxes[i], func(b box) bool { return isFree(b, taken[tier]) }); free >= 0 {
				rows[i] = row{boxes[i][free], tier}
			}
		}
		if rows[i].tier == len(taken) {
			taken = append(taken, nil)
		}
		taken[rows[i].tier] = append(taken[rows[i].tier], rows[i].box)
	}
	return rows, len(taken)
}

// isFree tells whether a box keeps its distance from those of a row.
func isFree(b box, row []box) bool {
	return !slices.ContainsFunc(row, func(other box) bool {
		return b.x0 < other.x1+2*labelGap && other.x0 < b.x1+2*labelGap
	})
}

// marks draws the moments of a panel: lines down through the plot, labels in rows above
// it. It gives the height of the rows.
func (p *plot) marks(marks []Mark) float64 {
	var shown []Mark
	var boxes [][]box
	for _, m := range marks {
		if !usable(m.AtS) || m.AtS < p.x.from || m.AtS > p.x.to {
			continue
		}
		m.Label = p.text.cut(m.Label, textSize, p.frame.x1-p.frame.x0)
		at, width := p.x.at(m.AtS), p.text.width(m.Label, textSize)
		before := box{math.Max(at+2-width, p.frame.x0), 0, math.Max(at+2, p.frame.x0+width), tierHeight}
		behind := box{math.Min(at-2, p.frame.x1-width), 0, math.Min(at-2+width, p.frame.x1), tierHeight}
		boxes = append(boxes, []box{behind, before})
		shown = append(shown, m)
	}
	rows, count := tiers(boxes)
	for i, m := range shown {
		at, top := p.x.at(m.AtS), p.frame.y0-float64(rows[i].tier)*tierHeight
		line := []point{{at, top}, {at, p.frame.y1}}
		p.stroke(Moment.pen(), line...)
		p.cover.line(line)
	}
	for i, m := range shown {
		top := p.frame.y0 - float64(rows[i].tier+1)*tierHeight
		p.backed(m.Label, rows[i].box.x0, top)
	}
	return float64(count) * tierHeight
}

// spans draws the stretches of time below a plot and gives the height of their rows.
func (p *plot) spans(spans []Span) float64 {
	var shown []Span
	var boxes [][]box
	for _, s := range spans {
		if !stretch(s.FromS, s.ToS) || s.ToS < p.x.from || s.FromS > p.x.to {
			continue
		}
		s.FromS, s.ToS = math.Max(s.FromS, p.x.from), math.Min(s.ToS, p.x.to)
		s.Label = p.text.cut(s.Label, textSize, p.frame.x1-p.frame.x0)
		b, _ := p.spanBox(s)
		boxes, shown = append(boxes, []box{b}), append(shown, s)
	}
	rows, count := tiers(boxes)
	for i, s := range shown {
		top := p.frame.y1 + 3 + float64(rows[i].tier)*tierHeight
		from, to, middle := p.x.at(s.FromS), p.x.at(s.ToS), top+tierHeight/2
		p.stroke(s.Role.pen(), point{from, middle}, point{to, middle})
		for _, end := range []float64{from, to} {
			p.stroke(pen{ink, 1, nil}, point{end, middle - 4}, point{end, middle + 4})
		}
		_, left := p.spanBox(s)
		p.backed(s.Label, left, top)
	}
	if count == 0 {
		return 0
	}
	return float64(count)*tierHeight + 3
}

// spanBox gives the box of a bar with its label, and where the label begins: behind
// the bar, before it, or on it, as there is room.
func (p *plot) spanBox(s Span) (b box, label float64) {
	from, to := p.x.at(s.FromS), p.x.at(s.ToS)
	width := p.text.width(s.Label, textSize)
	switch {
	case to+labelGap+width <= p.frame.x1:
		return box{from, 0, to + labelGap + width, tierHeight}, to + labelGap
	case from-labelGap-width >= p.frame.x0:
		return box{from - labelGap - width, 0, to, tierHeight}, from - labelGap - width
	}
	label = math.Max(p.frame.x0, math.Min((from+to-width)/2, p.frame.x1-width))
	return box{math.Min(from, label), 0, math.Max(to, label+width), tierHeight}, label
}
