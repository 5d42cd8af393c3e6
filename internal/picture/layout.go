package picture

import "math"

// draw lays the whole picture out.
func draw(p Picture) drawing {
	d := drawing{width: Width, text: newMetrics()}
	y := d.paragraphs([]string{p.Title}, margin, titleSize)
	y = d.paragraphs(p.Head, y, textSize)
	for _, b := range p.Blocks {
		y = d.block(b, y+8)
	}
	if len(p.Foot) > 0 {
		y = d.rule(y + 8)
		y = d.paragraphs(p.Foot, y, textSize)
	}
	d.height = math.Ceil(y + margin)
	return d
}

// paragraphs writes text from y downwards and gives where it ends.
func (d *drawing) paragraphs(texts []string, y, size float64) float64 {
	for _, text := range texts {
		for _, line := range d.text.wrap(text, size, Width-2*margin) {
			d.write(line, margin, y, size)
			y += leading * size
		}
	}
	return y
}

func (d *drawing) rule(y float64) float64 {
	d.stroke(pen{grey, 0.8, nil}, point{margin, y}, point{Width - margin, y})
	return y + 6
}

// block draws one injection.
func (d *drawing) block(b Block, y float64) float64 {
	y = d.rule(y)
	y = d.paragraphs([]string{b.Title}, y, blockSize)
	x := b.time(d.text)
	for _, panel := range b.Panels {
		y = d.panel(panel, x, y+4)
	}
	if len(b.Panels) > 0 {
		y = d.timeAxis(b.TimeTitle, x, y)
	}
	return d.paragraphs(b.Notes, y+2, textSize)
}

// time is the scale of time of a block: the same for its panels, which leave room for
// the longest value beside them.
func (b Block) time(text *metrics) scale {
	from, to := b.FromS, b.ToS
	if !stretch(from, to) {
		from, to = b.wholeTime()
	}
	x := newScale(from, to, plotLeft, plotRight, 9)
	left := plotLeft
	for _, p := range b.Panels {
		low, high := p.values(x.from, x.to)
		for _, label := range newScale(low, high, 1, 0, p.ticks()).tickLabelled {
			left = math.Max(left, text.width(label, textSize)+margin+6)
		}
	}
	return newScale(x.from, x.to, math.Min(left, Width/2), plotRight, 9)
}

// wholeTime is what all curves of a block hold.
func (b Block) wholeTime() (from, to float64) {
	from, to = math.Inf(1), math.Inf(-1)
	for _, p := range b.Panels {
		for _, c := range p.Curves {
			first, last := c.span(-largest, largest)
			if last-first > 1 {
				from, to = math.Min(from, c.at(first)), math.Max(to, c.at(last-1))
			}
		}
	}
	return from, to
}

// panel draws what one sensor showed.
func (d *drawing) panel(p Panel, x scale, y float64) float64 {
	plot := newPlot(d.text, p, x)
	plot.grid()
	above := plot.marks(p.Marks)
	for _, l := range p.Levels {
		plot.level(l)
	}
	plot.curves(p.Curves)
	plot.edge()
	below := plot.spans(p.Spans)
	if len(plot.lines) == 0 && p.Empty != "" {
		plot.backed(plot.text.cut(p.Empty, textSize, x.last-x.first-20), x.first+10, plot.frame.y1/2-textSize)
	}
	unplaced := plot.labels()

	y = d.panelTitle(p, y)
	y = d.key(unplaced, x, y)
	top := y + math.Max(above+3, overhang)
	d.put(plot.drawing, top)
	return top + plot.frame.y1 + math.Max(below, overhang)
}

// panelTitle names the sensor and its upright axis.
func (d *drawing) panelTitle(p Panel, y float64) float64 {
	if p.Title == "" && p.ValueTitle == "" {
		return y
	}
	title := p.Title
	if title != "" && p.ValueTitle != "" {
		title += ": "
	}
	return d.paragraphs([]string{title + p.ValueTitle}, y, textSize)
}

// key names, above a panel, the lines for whose labels it has no room.
func (d *drawing) key(lines []line, x scale, y float64) float64 {
	at := x.first
	for i, l := range lines {
		width := sampleLength + labelGap + d.text.width(l.label, textSize)
		if i > 0 && at+width > x.last {
			at, y = x.first, y+tierHeight
		}
		d.name(l, at, y)
		at += width + 4*labelGap
	}
	if len(lines) > 0 {
		y += tierHeight
	}
	return y
}

// timeAxis writes the times below the last panel.
func (d *drawing) timeAxis(title string, x scale, y float64) float64 {
	y += 2
	free := margin
	for i, at := range x.ticks {
		label := x.tickLabelled[i]
		width := d.text.width(label, textSize)
		left := math.Max(margin, math.Min(x.at(at)-width/2, Width-margin-width))
		if left >= free {
			d.write(label, left, y, textSize)
			free = left + width + labelGap
		}
	}
	y += leading * textSize
	title = d.text.cut(title, textSize, x.last-x.first)
	d.write(title, (x.first+x.last-d.text.width(title, textSize))/2, y, textSize)
	return y + leading*textSize
}
