package picture

// Picture is all that one picture shows.
type Picture struct {
	Language    string   // BCP 47 code of the words
	Title       string   // what it is
	Description string   // the content in sentences, for who cannot see it
	Head        []string // paragraphs below the title
	Blocks      []Block
	Foot        []string // paragraphs at the end
}

// Block is one injection.
type Block struct {
	Title string
	// Panels stand one above the other over one time axis.
	Panels []Panel
	// FromS to ToS is the time that is shown. Where it is no stretch of time, all that
	// the curves hold is.
	FromS, ToS float64
	TimeTitle  string
	Notes      []string // paragraphs below the panels
}

// Panel is what one sensor showed.
type Panel struct {
	Title      string
	ValueTitle string // what the upright axis shows, with its unit
	Height     float64
	Empty      string // said where no curve has a value
	Curves     []Curve
	Marks      []Mark
	Spans      []Span
	Levels     []Level
}

// Curve is an evenly sampled line: sample i is at StartS + i StepS. NaN is a gap.
type Curve struct {
	Role          Role
	Label         string // "" = it speaks for itself
	StartS, StepS float64
	Values        []float64
	// FromS and ToS bound the part that is drawn; where they are no stretch of time,
	// all of it is.
	FromS, ToS float64
	// TailS is where the rest of the line is extrapolated and drawn thinner; 0 or NaN
	// where none is. TailLabel names that rest.
	TailS     float64
	TailLabel string
}

// Mark is a moment: an upright line with a label above it.
type Mark struct {
	AtS   float64
	Label string
}

// Span is a stretch of time: a bar below the curves.
type Span struct {
	FromS, ToS float64
	Label      string
	Role       Role
}

// Level is a value: a level line, such as a limit of detection.
type Level struct {
	Value float64
	Label string
}

// Role says what a line is, and so how it looks.
type Role int

// The roles, from the first that is drawn to the last.
const (
	Recorded Role = iota // what the sensor showed
	Baseline
	Model     // the fit to the whole curve
	FirstPass // of that fit
	SecondFirstPass
	ThirdFirstPass
	Limit
	Moment
)
