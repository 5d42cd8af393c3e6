package picture

import (
	"bytes"
	"image"
	"image/png"
	"math"
	"testing"
)

func decoded(t *testing.T, p Picture, perPixel int) image.Image {
	t.Helper()
	text, err := PNG(p, perPixel)
	if err != nil {
		t.Fatal(err)
	}
	again, err := PNG(p, perPixel)
	if err != nil || !bytes.Equal(text, again) {
		t.Error("drawn twice it differs")
	}
	made, err := png.Decode(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return made
}

func TestThePNGShowsWhatTheListOfShapesSays(t *testing.T) {
	p := demo(20, 0.01)
	d := draw(p)
	made := decoded(t, p, 2)
	if size := made.Bounds().Size(); size.X != 2*Width || size.Y != 2*int(d.height) {
		t.Fatalf("size %v", size)
	}
	for i, s := range d.shapes {
		w, ok := s.(words)
		if !ok {
			continue
		}
		if dark := darkest(made, d.text.box(w.text, w.at.x, w.at.y-ascent*w.size, w.size), 2); dark > 0.5 {
			t.Errorf("shape %d: %q leaves the paper white", i, w.text)
		}
	}
	if light := darkest(made, box{0, 0, Width, margin / 2}, 2); light < 1 {
		t.Error("something is drawn in the upper margin")
	}
}

// darkest gives the luminance of the darkest pixel in a box, 1 for white.
func darkest(i image.Image, b box, times float64) float64 {
	least := 1.0
	for y := int(b.y0 * times); y < int(b.y1*times); y++ {
		for x := int(b.x0 * times); x < int(b.x1*times); x++ {
			red, green, blue, _ := i.At(x, y).RGBA()
			least = math.Min(least, float64(red+green+blue)/(3*0xffff))
		}
	}
	return least
}

func TestALineIsDrawnOnceWhereItCrossesItself(t *testing.T) {
	c := canvas{image: image.NewRGBA(image.Rect(0, 0, 20, 20)), times: 1}
	c.fill(box{0, 0, 20, 20}, white)
	c.stroke(stroke{[][]point{{{2, 2}, {18, 18}, {18, 2}, {2, 18}}}, pen{blue, 4, nil}})
	if got := c.image.RGBAAt(10, 10); got != blue.rgba() {
		t.Errorf("where it crosses itself it is %v, want %v", got, blue.rgba())
	}
	if got := c.image.RGBAAt(10, 2); got != white.rgba() {
		t.Errorf("beside it is %v", got)
	}
}

func TestADashLeavesGapsOfItsLength(t *testing.T) {
	runs := dashed([]point{{0, 0}, {7, 0}, {20, 0}}, []float64{4, 2}, 1)
	want := [][2]float64{{0, 4}, {6, 10}, {12, 16}, {18, 20}}
	if len(runs) != len(want) {
		t.Fatalf("%d runs: %v", len(runs), runs)
	}
	for i, run := range runs {
		if run[0].x != want[i][0] || run[len(run)-1].x != want[i][1] {
			t.Errorf("run %d is %v, want %v", i, run, want[i])
		}
	}
}

func TestAPNGOfAnImpossibleSizeIsRefused(t *testing.T) {
	for _, perPixel := range []int{0, -1, 5} {
		if _, err := PNG(Picture{}, perPixel); err == nil {
			t.Errorf("%d pixels for one are taken", perPixel)
		}
	}
	tall := Picture{Blocks: make([]Block, 200)}
	for i := range tall.Blocks {
		tall.Blocks[i].Panels = []Panel{{Height: 2000}}
	}
	if _, err := PNG(tall, 4); err == nil {
		t.Error("a picture that is too large is drawn")
	}
}
