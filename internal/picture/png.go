package picture

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// mostPixels bounds the size of a PNG.
const mostPixels = 100_000_000

// PNG gives the picture as a PNG that has so many pixels for each one of its width of
// 600; 1 to 4 are taken.
func PNG(p Picture, perPixel int) ([]byte, error) {
	if perPixel < 1 || perPixel > 4 {
		return nil, fmt.Errorf("%d pixels for one are asked for; 1 to 4 are drawn", perPixel)
	}
	d := draw(p)
	width, height := perPixel*int(d.width), perPixel*int(d.height)
	if width*height > mostPixels {
		return nil, fmt.Errorf("the picture has %d x %d pixels; at most %d in all are drawn", width, height, mostPixels)
	}
	c := canvas{image: image.NewRGBA(image.Rect(0, 0, width, height)), times: float64(perPixel), faces: map[float64]font.Face{}}
	c.fill(box{0, 0, d.width, d.height}, white)
	for _, s := range d.shapes {
		switch s := s.(type) {
		case stroke:
			c.stroke(s)
		case fill:
			c.fill(s.box, s.colour)
		case words:
			if err := c.words(s); err != nil {
				return nil, err
			}
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, c.image); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// canvas is a PNG in the making.
type canvas struct {
	image *image.RGBA
	times float64 // pixels for one
	faces map[float64]font.Face
}

func (c colour) rgba() color.RGBA { return color.RGBA{c[0], c[1], c[2], 255} }

// shape fills polygons that are all turned the same way, so that where they overlap
// they are filled once.
func (c *canvas) shape(polygons [][]point, with colour) {
	bounds := box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, polygon := range polygons {
		for _, p := range polygon {
			bounds = box{min(bounds.x0, p.x), min(bounds.y0, p.y), max(bounds.x1, p.x), max(bounds.y1, p.y)}
		}
	}
	rect := image.Rect(int(math.Floor(bounds.x0)), int(math.Floor(bounds.y0)), int(math.Ceil(bounds.x1)), int(math.Ceil(bounds.y1)))
	if len(polygons) == 0 || rect.Intersect(c.image.Bounds()).Empty() {
		return
	}
	raster := vector.NewRasterizer(rect.Dx(), rect.Dy())
	for _, polygon := range polygons {
		for i, p := range polygon {
			x, y := float32(p.x-float64(rect.Min.X)), float32(p.y-float64(rect.Min.Y))
			if i == 0 {
				raster.MoveTo(x, y)
			} else {
				raster.LineTo(x, y)
			}
		}
		raster.ClosePath()
	}
	raster.Draw(c.image, rect, image.NewUniform(with.rgba()), image.Point{})
}

func (c *canvas) fill(b box, with colour) {
	k := c.times
	c.shape([][]point{{{b.x0 * k, b.y0 * k}, {b.x1 * k, b.y0 * k}, {b.x1 * k, b.y1 * k}, {b.x0 * k, b.y1 * k}}}, with)
}

func (c *canvas) stroke(s stroke) {
	var polygons [][]point
	half := math.Max(s.pen.width*c.times, 1) / 2
	for _, piece := range s.pieces {
		scaled := make([]point, len(piece))
		for i, p := range piece {
			scaled[i] = point{p.x * c.times, p.y * c.times}
		}
		for _, run := range dashed(scaled, s.pen.dash, c.times) {
			polygons = append(polygons, outline(run, half)...)
		}
	}
	c.shape(polygons, s.pen.colour)
}

func (c *canvas) words(w words) error {
	face := c.faces[w.size]
	if face == nil {
		made, err := opentype.NewFace(goFont(), &opentype.FaceOptions{Size: w.size * c.times, DPI: 72, Hinting: font.HintingNone})
		if err != nil {
			return err
		}
		face, c.faces[w.size] = made, made
	}
	(&font.Drawer{
		Dst: c.image, Src: image.NewUniform(w.colour.rgba()), Face: face,
		Dot: fixed.Point26_6{X: fixed.Int26_6(math.Round(w.at.x * c.times * 64)), Y: fixed.Int26_6(math.Round(w.at.y * c.times * 64))},
	}).DrawString(clean(w.text))
	return nil
}
