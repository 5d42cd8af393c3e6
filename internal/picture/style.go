package picture

// colour is red, green, blue.
type colour [3]uint8

// The palette of Okabe and Ito, as far as it is used. Text and axes are in inks of
// grey; what was recorded is as light as a line on white may be, so that lines on it can
// be seen in black and white too; the fit to the whole curve, which lies on it, is black. Of the other colours of the palette yellow, sky blue
// and orange are too light for lines on white, and reddish purple is no darker than what
// was recorded.
var (
	white       = colour{255, 255, 255}
	black       = colour{0, 0, 0}
	ink         = colour{34, 34, 34}
	grey        = colour{105, 105, 105}
	lightGrey   = colour{147, 147, 147}
	paleGrey    = colour{222, 222, 222}
	blue        = colour{0, 114, 178}
	vermilion   = colour{213, 94, 0}
	bluishGreen = colour{0, 158, 115}
)

// pen draws a line. The dash is lengths of ink and gap by turns, none for a whole line.
type pen struct {
	colour colour
	width  float64
	dash   []float64
}

// pens is the table of how lines look. No two are alike without their colour.
var pens = [...]pen{
	Recorded:        {lightGrey, 1, nil},
	Baseline:        {black, 1.2, []float64{10, 3}},
	Model:           {black, 2, nil},
	FirstPass:       {vermilion, 2, []float64{7, 3}},
	SecondFirstPass: {blue, 2, []float64{2, 2.4}},
	ThirdFirstPass:  {bluishGreen, 2, []float64{9, 2.5, 1.6, 2.5}},
	Limit:           {ink, 1, []float64{2, 5}},
	Moment:          {ink, 0.8, []float64{1.5, 3}},
}

func (r Role) pen() pen {
	if r < 0 || int(r) >= len(pens) {
		return pens[Recorded]
	}
	return pens[r]
}

// tail is the pen of the extrapolated rest of a line: the same, thinner.
func (p pen) tail() pen {
	p.width /= 2
	return p
}

// Sizes in pixels of a picture that is Width wide.
const (
	Width = 600

	margin    = 10.0
	plotLeft  = 50.0
	plotRight = Width - 14.0

	titleSize = 16.0
	blockSize = 14.0
	textSize  = 12.0
	leading   = 1.32 // from line to line, of the size

	tierHeight   = 16.0 // a row of labels above a panel, or of bars below it
	sampleLength = 24.0 // of the piece of line before a label
	labelGap     = 4.0
	overhang     = 8.0 // of the values beside an upright axis, up and down
	usualHeight  = 150.0
)
