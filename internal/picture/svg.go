package picture

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// SVG gives the picture as an SVG document.
func SVG(p Picture) []byte {
	d := draw(p)
	var b bytes.Buffer
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" width="%s" height="%s" viewBox="0 0 %[1]s %[2]s"`, number(d.width), number(d.height))
	if p.Language != "" {
		fmt.Fprintf(&b, ` xml:lang="%s"`, escaped(p.Language))
	}
	b.WriteString(` role="graphics-document document" font-family="sans-serif">` + "\n")
	fmt.Fprintf(&b, "<title>%s</title>\n<desc>%s</desc>\n", escaped(p.Title), escaped(p.Description))
	fmt.Fprintf(&b, `<rect width="%s" height="%s" fill="%s"/>`+"\n", number(d.width), number(d.height), white.hex())
	for _, s := range d.shapes {
		switch s := s.(type) {
		case stroke:
			s.svg(&b)
		case fill:
			s.svg(&b)
		case words:
			s.svg(&b)
		}
	}
	b.WriteString("</svg>\n")
	return b.Bytes()
}

func (s stroke) svg(b *bytes.Buffer) {
	fmt.Fprintf(b, `<path fill="none" stroke="%s" stroke-width="%s" stroke-linejoin="round"`, s.pen.colour.hex(), number(s.pen.width))
	if len(s.pen.dash) > 0 {
		b.WriteString(` stroke-dasharray="`)
		for i, length := range s.pen.dash {
			if i > 0 {
				b.WriteByte(' ')
			}
			b.WriteString(number(length))
		}
		b.WriteByte('"')
	}
	b.WriteString(` d="`)
	for _, piece := range s.pieces {
		for i, p := range piece {
			switch i {
			case 0:
				b.WriteByte('M')
			case 1:
				b.WriteByte('L')
			default:
				b.WriteByte(' ')
			}
			b.WriteString(number(p.x) + " " + number(p.y))
		}
		if len(piece) == 1 { // a lone sample is a dot
			fmt.Fprintf(b, "h%s", number(s.pen.width))
		}
	}
	b.WriteString("\"/>\n")
}

func (f fill) svg(b *bytes.Buffer) {
	fmt.Fprintf(b, `<rect x="%s" y="%s" width="%s" height="%s" fill="%s"/>`+"\n",
		number(f.box.x0), number(f.box.y0), number(f.box.x1-f.box.x0), number(f.box.y1-f.box.y0), f.colour.hex())
}

func (w words) svg(b *bytes.Buffer) {
	if w.text == "" {
		return
	}
	fmt.Fprintf(b, `<text x="%s" y="%s" font-size="%s" fill="%s">%s</text>`+"\n",
		number(w.at.x), number(w.at.y), number(w.size), w.colour.hex(), escaped(w.text))
}

func (c colour) hex() string { return fmt.Sprintf("#%02x%02x%02x", c[0], c[1], c[2]) }

// number writes a length to a tenth of a pixel.
func number(x float64) string {
	tenths := math.Round(x * 10)
	if tenths == 0 {
		return "0"
	}
	return strconv.FormatFloat(tenths/10, 'f', -1, 64)
}

// escaped gives text for XML.
func escaped(text string) string {
	return strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;", "'", "&#39;").Replace(clean(text))
}
