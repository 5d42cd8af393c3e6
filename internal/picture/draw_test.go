package picture

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// pictures are those that the tests draw.
func pictures() map[string]Picture {
	bare := demo(60, 0.01)
	for i := range bare.Blocks[0].Panels {
		bare.Blocks[0].Panels[i].Curves = nil
	}
	wordy := demo(60, 0.01)
	wordy.Blocks[0].Panels[0].Curves[3].Label = "a name that is long enough to be cut in a narrow place: 0.610 L/min"
	crowded := demo(60, 0.05)
	for i := range 12 {
		p := &crowded.Blocks[0].Panels[i%2]
		p.Marks = append(p.Marks, Mark{2 + 0.3*float64(i), fmt.Sprintf("seen here, number %d", i)})
		p.Spans = append(p.Spans, Span{float64(i), 20 + float64(2*i), "a stretch of time", Model})
		p.Levels = append(p.Levels, Level{0.2 * float64(i), "limit of the sensor"})
	}
	gaps := demo(60, 0.01)
	for i := range gaps.Blocks[0].Panels[0].Curves[0].Values {
		if i%900 < 200 {
			gaps.Blocks[0].Panels[0].Curves[0].Values[i] = math.NaN()
		}
	}
	several := demo(60, 0.01)
	several.Blocks = append(several.Blocks, demo(90, 0.02).Blocks[0], demo(40, 0.1).Blocks[0])
	return map[string]Picture{
		"clean": demo(60, 0.01), "noisy": demo(60, 0.1), "half an hour": demo(1800, 0.01), "without curves": bare,
		"crowded": crowded, "with gaps": gaps, "of three injections": several, "of long words": wordy, "empty": {},
	}
}

// checkLabels wants every piece of text inside the picture and off every other.
func checkLabels(d drawing) error {
	page := box{0, 0, d.width, d.height}
	for i, a := range d.labels {
		if !a.inside(page) {
			return fmt.Errorf("the label %d at %v is not inside %v", i, a, page)
		}
		for j, b := range d.labels[:i] {
			if a.grown(-0.05).overlaps(b.grown(-0.05)) { // lines of text may touch
				return fmt.Errorf("the labels %d at %v and %d at %v overlap", j, b, i, a)
			}
		}
	}
	return nil
}

func TestNoLabelCoversAnotherOrLeavesThePicture(t *testing.T) {
	for name, p := range pictures() {
		if err := checkLabels(draw(p)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestEveryLineIsNamedSomewhere(t *testing.T) {
	for name, p := range pictures() {
		written := map[string]bool{}
		for _, s := range draw(p).shapes {
			if w, ok := s.(words); ok {
				written[w.text] = true
			}
		}
		for _, b := range p.Blocks {
			for _, panel := range b.Panels {
				for _, c := range panel.Curves {
					for _, label := range []string{c.Label, c.TailLabel} {
						if label != "" && !written[label] {
							t.Errorf("%s: %q is nowhere", name, label)
						}
					}
				}
			}
		}
	}
}

func TestLabelsOfCurvesLieFreeOfCurves(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		frame := box{0, 0, rapid.Float64Range(50, 600).Draw(t, "width"), rapid.Float64Range(30, 300).Draw(t, "height")}
		coordinate := func(most float64) float64 { return rapid.Float64Range(0, most).Draw(t, "at") }
		c := newCover(frame)
		var drawn []point
		for range rapid.IntRange(1, 20).Draw(t, "points") {
			drawn = append(drawn, point{coordinate(frame.x1), coordinate(frame.y1)})
		}
		c.line(drawn)
		c.sum()
		var wants []want
		for range rapid.IntRange(1, 8).Draw(t, "labels") {
			wants = append(wants, want{coordinate(120) + 1, coordinate(20) + 1, []anchor{{point{coordinate(frame.x1), coordinate(frame.y1)}, 0}}})
		}
		result := place(c, wants)
		for i, a := range result {
			if !a.ok {
				continue
			}
			if !a.box.inside(frame) {
				t.Fatalf("%v is not inside %v", a.box, frame)
			}
			for k := 1; k < len(drawn); k++ {
				if passes(leader{drawn[k-1], drawn[k]}, a.box) {
					t.Fatalf("the line from %v to %v strikes %v through", drawn[k-1], drawn[k], a.box)
				}
			}
			for j, b := range result[:i] {
				if b.ok && a.box.overlaps(b.box) {
					t.Fatalf("%d %v overlaps %d %v", i, a.box, j, b.box)
				}
			}
		}
	})
}

func TestALongCurveKeepsItsLeastAndGreatestValues(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 5000).Draw(t, "samples")
		c := Curve{StepS: 0.01, Values: make([]float64, n)}
		seed := rapid.Uint64().Draw(t, "seed")
		for i := range c.Values {
			seed = seed*6364136223846793005 + 1442695040888963407
			c.Values[i] = float64(seed>>40) / (1 << 24)
			if seed%11 == 0 {
				c.Values[i] = math.NaN()
			}
		}
		x, y := newScale(0, 0.01*float64(n), 0, 100, 5), newScale(0, 1, 0, 1, 5)
		low, high := math.Inf(1), math.Inf(-1)
		for _, v := range c.Values {
			if usable(v) {
				low, high = math.Min(low, v), math.Max(high, v)
			}
		}
		least, most, points := math.Inf(1), math.Inf(-1), 0
		for _, piece := range c.pieces(0, 0.01*float64(n), x, y) {
			for i, p := range piece {
				least, most, points = math.Min(least, p.y), math.Max(most, p.y), points+1
				if i > 0 && p.x < piece[i-1].x {
					t.Fatalf("the line goes back from %v to %v", piece[i-1], p)
				}
			}
		}
		const near = 0.1 // simplified moves nothing further than that
		if points > 303 {
			t.Errorf("%d points are drawn in 100 columns", points)
		}
		if points > 0 && (math.Abs(least-low) > near || math.Abs(most-high) > near) {
			t.Errorf("drawn from %v to %v, recorded from %v to %v", least, most, low, high)
		}
	})
}

// WCAG 2.1, success criterion 1.4.11: graphics have a contrast of 3 to 1 at least;
// 1.4.3: text has 4.5 to 1.
func TestLinesAndTextStandOutFromWhite(t *testing.T) {
	for role, p := range pens {
		if c := contrast(p.colour, white); c < 3 {
			t.Errorf("role %d: contrast %.2f", role, c)
		}
	}
	if c := contrast(ink, white); c < 4.5 {
		t.Errorf("text: contrast %.2f", c)
	}
}

// contrast is the ratio of relative luminances (WCAG 2.1, definitions).
func contrast(a, b colour) float64 {
	luminance := func(c colour) float64 {
		sum := 0.0
		for i, weight := range [3]float64{0.2126, 0.7152, 0.0722} {
			x := float64(c[i]) / 255
			if x <= 0.03928 {
				sum += weight * x / 12.92
			} else {
				sum += weight * math.Pow((x+0.055)/1.055, 2.4)
			}
		}
		return sum
	}
	la, lb := luminance(a), luminance(b)
	return (math.Max(la, lb) + 0.05) / (math.Min(la, lb) + 0.05)
}

func TestNoTwoLinesLookAlikeWithoutTheirColours(t *testing.T) {
	for i, a := range pens {
		for j, b := range pens[:i] {
			if a.width == b.width && fmt.Sprint(a.dash) == fmt.Sprint(b.dash) {
				t.Errorf("roles %d and %d differ by colour alone", j, i)
			}
		}
	}
}

func TestTicksAreRoundAndFew(t *testing.T) {
	for _, c := range []struct {
		from, to float64
		wanted   int
		want     string
	}{
		{-20, 90, 9, "[-20 0 20 40 60 80]"},
		{0, 1, 4, "[0.0 0.5 1.0]"},
		{0.0011, 0.0034, 4, "[0.002 0.003]"},
		{1540.1, 1551.9, 5, "[1545 1550]"},
		{3, 3, 4, "[2.5 3.0 3.5]"},
		{math.NaN(), 1, 4, "[-0.5 0.0 0.5]"},
		{5, -5, 4, "[4.5 5.0 5.5]"},
		{-1e-13, 1e-13, 3, "[-0.0000000000001 0.0000000000000 0.0000000000001]"},
	} {
		if got := fmt.Sprint(newScale(c.from, c.to, 0, 100, c.wanted).tickLabelled); got != c.want {
			t.Errorf("%v to %v: %s, want %s", c.from, c.to, got, c.want)
		}
	}
}
