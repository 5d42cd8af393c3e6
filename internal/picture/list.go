package picture

// A drawing is a list of shapes, drawn in order. Both writers read it.
type drawing struct {
	width, height float64
	shapes        []shape
	text          *metrics
	// labels are the boxes of all words, for the tests of placement.
	labels []box
}

type point struct{ x, y float64 }

// shape is one of stroke, fill and words.
type shape interface{ moved(down float64) shape }

// stroke is a line of several pieces.
type stroke struct {
	pieces [][]point
	pen    pen
}

// fill is a rectangle.
type fill struct {
	box    box
	colour colour
}

// words are one line of text; at is the left end of its base line.
type words struct {
	at     point
	text   string
	size   float64
	colour colour
}

func (d *drawing) stroke(p pen, points ...point) {
	d.shapes = append(d.shapes, stroke{[][]point{points}, p})
}

// write puts one line of text with its upper left corner at x, y and gives its box.
func (d *drawing) write(text string, x, y, size float64) box {
	b := d.text.box(text, x, y, size)
	d.shapes = append(d.shapes, words{point{x, y + ascent*size}, text, size, ink})
	d.labels = append(d.labels, b)
	return b
}

// put adds another drawing, moved down.
func (d *drawing) put(other drawing, down float64) {
	for _, s := range other.shapes {
		d.shapes = append(d.shapes, s.moved(down))
	}
	for _, b := range other.labels {
		b.y0, b.y1 = b.y0+down, b.y1+down
		d.labels = append(d.labels, b)
	}
}

func (s stroke) moved(down float64) shape {
	pieces := make([][]point, len(s.pieces))
	for i, piece := range s.pieces {
		for _, p := range piece {
			pieces[i] = append(pieces[i], point{p.x, p.y + down})
		}
	}
	return stroke{pieces, s.pen}
}

func (f fill) moved(down float64) shape {
	f.box.y0, f.box.y1 = f.box.y0+down, f.box.y1+down
	return f
}

func (w words) moved(down float64) shape {
	w.at.y += down
	return w
}

// box is a rectangle, y1 below y0.
type box struct{ x0, y0, x1, y1 float64 }

func (b box) overlaps(c box) bool {
	return b.x0 < c.x1 && c.x0 < b.x1 && b.y0 < c.y1 && c.y0 < b.y1
}

func (b box) inside(c box) bool {
	return b.x0 >= c.x0 && b.x1 <= c.x1 && b.y0 >= c.y0 && b.y1 <= c.y1
}

func (b box) grown(by float64) box { return box{b.x0 - by, b.y0 - by, b.x1 + by, b.y1 + by} }
