package circuit

// chamber is a room of the heart, or the start of a great vessel, that mixes
// incompletely: a part of what comes in goes straight to the way on, and a part of the
// blood stands aside and exchanges slowly. Its volume is constant.
type chamber struct {
	// shortcut is the part of the inflow that goes on unmixed.
	shortcut float64
	// stirredML gives the outflow. A ventricle stirs at each beat: what comes in between
	// waits aside, fillingML of it, while stirredML falls by as much.
	stirredML, fillingML float64
	beats                bool
	// asideML stands aside; exchangePerS of it is exchanged with what is stirred.
	asideML, exchangePerS float64
	// The indicator in the three.
	stirred, filling, aside float64
}

// volumeML is all the blood in the chamber.
func (c *chamber) volumeML() float64 { return c.stirredML + c.fillingML + c.asideML }

// held is the indicator in the chamber.
func (c *chamber) held() float64 { return c.stirred + c.filling + c.aside }

// back takes a volume out against the way on, through a leak or a shunt, and gives the
// indicator in it. It has to come before the pass of the same step, which is told of it.
func (c *chamber) back(ml float64) (indicatorML float64) {
	return c.stirred / c.stirredML * ml
}

// pass lets one step of blood in and as much out: backML with backIndicatorML by back,
// the rest on. It gives the indicator that goes on.
//
// The exit of the stirred part is the trapezoidal rule, which gives the mean transit
// volume/flow exactly and loses nothing; what leaves in a step has to be less than what
// is stirred.
func (c *chamber) pass(inML, inIndicatorML, backML, backIndicatorML, stepS float64) (on float64) {
	onML := inML - backML
	shortcut := min(c.shortcut, 0.8*onML/inML)
	on = shortcut * inIndicatorML
	inIndicatorML -= on
	onML -= shortcut * inML
	inML -= shortcut * inML
	exchanged := c.exchangePerS * stepS * (c.stirred/c.stirredML*c.asideML - c.aside)
	c.stirred -= exchanged
	c.aside += exchanged
	if c.beats {
		c.stirred -= backIndicatorML
		return on + c.throwOut(inML, inIndicatorML, backML, onML)
	}
	half := onML / c.stirredML / 2
	after := (c.stirred*(1-half) - backIndicatorML + inIndicatorML) / (1 + half)
	on += c.stirred - backIndicatorML + inIndicatorML - after
	c.stirred = after
	return on
}

// throwOut is the step of a chamber that stirs at its beats only.
func (c *chamber) throwOut(inML, inIndicatorML, backML, onML float64) (on float64) {
	// The indicator of back has been taken out, its volume has not.
	on = c.stirred / (c.stirredML - backML) * onML
	c.stirred -= on
	c.stirredML -= backML + onML
	c.filling += inIndicatorML
	c.fillingML += inML
	return on
}

// lasts stirs a ventricle before its time where it holds less than the step that comes
// may take twice.
func (c *chamber) lasts(stepML float64) {
	if c.beats && c.stirredML < 2*stepML {
		c.beat()
	}
}

// beat stirs what has come in since the last one with what was left.
func (c *chamber) beat() {
	c.stirred, c.filling = c.stirred+c.filling, 0
	c.stirredML, c.fillingML = c.stirredML+c.fillingML, 0
}
