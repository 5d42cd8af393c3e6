package illustrate

import (
	"math"

	"saltmark/internal/derive"
	"saltmark/internal/dilution"
	"saltmark/internal/picture"
	"saltmark/mapping/measure"
)

// Heights of the panels, in pixels of a picture 600 wide.
const (
	arterialHeight = 220
	venousHeight   = 110
)

// perCent turns a volume fraction into what is shown.
const perCent = 100

// sensor is what is known of one of the two curves.
type sensor struct {
	curve     dilution.Curve
	base      dilution.Baseline
	onGrid    []float64 // less the baseline
	gridStart float64
	gridStep  float64
}

// calibrated tells whether the curve can be shown as volume fraction.
func (s sensor) calibrated() bool {
	return s.curve.Unit != dilution.SoundSpeed || len(s.onGrid) > 0
}

// recorded gives the curve as it is shown: in per cent of indicator, or as it was
// recorded where it has no calibration. A speed of sound is shown as the computation
// saw it, on its grid; where nothing was recorded there is a gap.
func (s sensor) recorded() picture.Curve {
	c := picture.Curve{Role: picture.Recorded, StartS: s.curve.StartS, StepS: s.curve.StepS}
	switch {
	case s.curve.Unit == dilution.Percent || !s.calibrated():
		c.Values = s.curve.Values
	case s.curve.Unit == dilution.SoundSpeed:
		c.StartS, c.StepS = s.gridStart, s.gridStep
		c.Values = s.above(s.onGrid)
		for i := range c.Values {
			if !s.heard(s.gridStart + float64(i)*s.gridStep) {
				c.Values[i] = math.NaN()
			}
		}
	default:
		c.Values = make([]float64, len(s.curve.Values))
		for i, v := range s.curve.Values {
			c.Values[i] = v * perCent
		}
	}
	return c
}

// heard tells whether the step of the grid at a time holds a valid sample.
func (s sensor) heard(atS float64) bool {
	first := int(math.Round((atS - s.curve.StartS) / s.curve.StepS))
	last := int(math.Round((atS + s.gridStep - s.curve.StartS) / s.curve.StepS))
	for i := max(0, first); i <= min(last, len(s.curve.Values)-1); i++ {
		if !math.IsNaN(s.curve.Values[i]) {
			return true
		}
	}
	return false
}

// above puts a curve of the grid onto the baseline, in per cent.
func (s sensor) above(h []float64) []float64 {
	values := make([]float64, len(h))
	for i, v := range h {
		values[i] = perCent * (v + s.base.Level + s.base.SlopePerS*(s.gridStart+float64(i)*s.gridStep))
	}
	return values
}

// line gives a curve of the grid.
func (s sensor) line(role picture.Role, label string, h []float64) picture.Curve {
	return picture.Curve{Role: role, Label: label, StartS: s.gridStart, StepS: s.gridStep, Values: s.above(h)}
}

// panel is what both sensors have: the recording, the limits of the sensor, faults where
// they were seen; the baseline with its window where the curves are not spoiled.
func (i illustration) panel(s sensor, c *derive.Computed, name string, title wording, height float64) picture.Panel {
	p := picture.Panel{Title: i.of(title), ValueTitle: i.of(say.indicator), Height: height, Empty: i.of(say.nothing)}
	recorded := s.recorded()
	recorded.Label = i.of(say.recorded)
	p.Curves = append(p.Curves, recorded)
	if !s.calibrated() {
		p.ValueTitle = i.of(say.sound)
	}
	if len(s.onGrid) > 0 && s.base.ToS > s.base.FromS && !c.Result.Spoiled() {
		p.Curves = append(p.Curves, s.line(picture.Baseline, i.of(say.baseline), make([]float64, len(s.onGrid))))
		p.Spans = append(p.Spans, picture.Span{FromS: s.base.FromS, ToS: s.base.ToS, Label: i.of(say.window), Role: picture.Baseline})
	}
	p.Levels = i.limits(s)
	for _, f := range c.Result.Faults {
		if f.Sensor == name {
			p.Marks = append(p.Marks, picture.Mark{AtS: f.AtS, Label: i.fault(f.Rule)})
		}
	}
	return p
}

// fault names a fault in a few words.
func (i illustration) fault(rule string) string {
	if m := measure.Get(rule); m != nil {
		return m.WordsFor("", i.language)
	}
	return rule
}

// limits are the limits of detection, for units in which they can be shown.
func (i illustration) limits(s sensor) []picture.Level {
	times := 1.0
	switch {
	case s.curve.Unit == dilution.Fraction:
		times = perCent
	case s.curve.Unit == dilution.SoundSpeed && s.calibrated():
		return nil
	}
	return []picture.Level{{Value: s.curve.Lower * times, Label: i.of(say.lower)}, {Value: s.curve.Upper * times, Label: i.of(say.upper)}}
}

func (i illustration) arterial(c *derive.Computed) picture.Panel {
	r := &c.Result
	s := sensor{c.Input.Arterial, r.ArterialBaseline, r.Arterial, r.GridStartS, r.GridStepS}
	p := i.panel(s, c, "arterial", say.arterial, arterialHeight)
	if len(r.Fit) > 0 {
		p.Curves = append(p.Curves, s.line(picture.Model, i.of(say.fit), r.Fit))
	}
	for _, separation := range r.Separations {
		i.separation(&p, s, r, separation)
	}
	if r.PeakS > r.ArrivalS && !r.Spoiled() {
		p.Marks = append(p.Marks, picture.Mark{AtS: r.ArrivalS, Label: i.of(say.arrival)}, picture.Mark{AtS: r.PeakS, Label: i.of(say.peak)})
	}
	return p
}

// separationRoles says how each separation is drawn.
var separationRoles = map[string]picture.Role{
	"closed-loop": picture.FirstPass, "exponential": picture.SecondFirstPass, "gamma-variate": picture.ThirdFirstPass,
}

// separation adds the first pass that one way finds, and the part of the curve that it
// was fitted to.
func (i illustration) separation(p *picture.Panel, s sensor, r *dilution.Result, of dilution.Separation) {
	if of.Withheld != "" {
		return
	}
	role := separationRoles[of.Name]
	words := say.firstPass
	switch {
	case r.Spoiled():
		words = say.withoutFlow
	case role == picture.FirstPass:
		words = say.fitPass
	}
	label := i.of(words, "name", i.separationName(of.Name), "flow", flowText(of.FlowMLs))
	if len(of.FirstPass) > 0 {
		line := s.line(role, label, of.FirstPass)
		line.FromS, line.ToS = r.ArrivalS, s.gridStart+float64(len(of.FirstPass))*s.gridStep
		if role != picture.FirstPass {
			line.TailS, line.TailLabel = of.ToS, i.of(tailWords[of.Name])
		}
		p.Curves = append(p.Curves, line)
		label = i.of(say.fitted, "name", i.separationName(of.Name))
	}
	if role != picture.FirstPass && of.ToS > of.FromS {
		p.Spans = append(p.Spans, picture.Span{FromS: of.FromS, ToS: of.ToS, Label: label, Role: role})
	}
}

func (i illustration) venous(c *derive.Computed) picture.Panel {
	r := &c.Result
	s := sensor{c.Input.Venous, r.VenousBaseline, r.Venous, r.GridStartS, r.GridStepS}
	p := i.panel(s, c, "venous", say.venous, venousHeight)
	if r.EntryMeanS > 0 && !r.Spoiled() {
		p.Marks = append(p.Marks, picture.Mark{AtS: r.EntryMeanS, Label: i.of(say.entry)})
	}
	if c.Input.DurationS > 0 {
		p.Spans = append(p.Spans, picture.Span{FromS: 0, ToS: c.Input.DurationS, Label: i.of(say.injected), Role: picture.Recorded})
	}
	return p
}
