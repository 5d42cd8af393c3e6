package picture

import (
	"strings"
	"sync"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// ascent and depth of a line of text, as parts of its size.
const (
	ascent = 0.95
	depth  = 0.27
)

// widest is how much wider than the Go font a usual sans-serif of a reader may be: it was
// measured for DejaVu Sans, which is as wide as they come.
const widest = 1.15

// goFont parses the font once. It is part of the program: it cannot fail.
var goFont = sync.OnceValue(func() *opentype.Font {
	f, err := opentype.Parse(goregular.TTF)
	if err != nil {
		panic(err)
	}
	return f
})

// metrics tells how wide text is. It is for one drawing: the buffer is its own.
type metrics struct {
	font   *opentype.Font
	buffer sfnt.Buffer
	known  map[rune]float64 // advance at size 1
}

func newMetrics() *metrics { return &metrics{font: goFont(), known: map[rune]float64{}} }

// width of a line of text in a wide font.
func (m *metrics) width(text string, size float64) float64 {
	sum := 0.0
	for _, r := range text {
		sum += m.advance(r)
	}
	return sum * size * widest
}

func (m *metrics) advance(r rune) float64 {
	if w, ok := m.known[r]; ok {
		return w
	}
	const perEm = 1024
	w := 1.0
	if glyph, err := m.font.GlyphIndex(&m.buffer, r); err == nil && glyph != 0 {
		if a, err := m.font.GlyphAdvance(&m.buffer, glyph, fixed.I(perEm), font.HintingNone); err == nil {
			w = float64(a) / 64 / perEm
		}
	}
	m.known[r] = w
	return w
}

// box of a line of text whose upper left corner is at x, y.
func (m *metrics) box(text string, x, y, size float64) box {
	return box{x, y, x + m.width(text, size), y + (ascent+depth)*size}
}

// wrap breaks a paragraph into lines of at most a width, between words, or inside of
// one that is longer than a line.
func (m *metrics) wrap(text string, size, width float64) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(clean(text)) {
		joined := word
		if line != "" {
			joined = line + " " + word
		}
		if m.width(joined, size) <= width {
			line = joined
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		for line = word; m.width(line, size) > width; {
			head := m.head(line, size, width)
			lines, line = append(lines, head), line[len(head):]
		}
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// head is the longest beginning of a word that fits, at least one character.
func (m *metrics) head(word string, size, width float64) string {
	end := 0
	for at, r := range word {
		next := at + len(string(r))
		if end > 0 && m.width(word[:next], size) > width {
			break
		}
		end = next
	}
	return word[:end]
}

// cut shortens a line to a width.
func (m *metrics) cut(text string, size, width float64) string {
	text = clean(text)
	if m.width(text, size) <= width {
		return text
	}
	const more = "…"
	return m.head(text, size, width-m.width(more, size)) + more
}

// clean gives text that is safe in every form: control characters, marks that turn the
// direction of writing and broken bytes become a sign that something was there.
func clean(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case !unicode.IsPrint(r):
			return unicode.ReplacementChar
		}
		return r
	}, strings.ToValidUTF8(text, string(unicode.ReplacementChar)))
}
