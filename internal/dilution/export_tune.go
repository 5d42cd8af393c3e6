package dilution

// Condensed is what is left of a recording once it is prepared: all that the features
// are read from. It serves tuning, where recordings are kept and described again.
type Condensed struct {
	In Input
	P  prepared
}

// Condense prepares a recording and leaves its samples out.
func Condense(in Input) Condensed {
	c := Condensed{In: in, P: prepare(in)}
	c.In.Arterial.Values, c.In.Venous.Values = nil, nil
	for _, s := range []*signal{&c.P.Arterial, &c.P.Venous} {
		s.H = nil
		from := s.On.index(c.P.StartS - 3)
		to := min(from+longestFit+60, len(s.On.H))
		s.On = s.On.part(s.On.First+from, s.On.First+to)
		s.On.Used = nil
	}
	return c
}

// Description is what the calibration knows of a recording.
type Description struct {
	Features []float64
	Scale
}

// Describe reads the features; ok is false where there is no curve to read.
func (c *Condensed) Describe() (d Description, ok bool) {
	f, ok := describe(c.In, &c.P, nil)
	return Description{Features: f.Of[:], Scale: f.Scale}, ok
}

// firstS is when the first of the indicator enters.
func (e entry) firstS() float64 {
	if len(e.steps) == 0 {
		return 0
	}
	return e.steps[0].fromS
}
