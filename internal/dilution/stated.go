package dilution

import "math"

// stated are the relative standard deviations that what the site states leaves in each
// value.
type stated struct{ flow, transit, central float64 }

// statedOf carries the uncertainties of the input on: volume and sensor pass one to
// one into the flow and the central volume; loop flow and tubing by asking again with
// each of them somewhat changed.
func statedOf(in Input, p *prepared, c *Calibration, a *Answer, near *loops) (s stated) {
	u := in.Uncertainty
	for _, whole := range []float64{u.Volume, u.Sensor} {
		if whole > 0 {
			s.flow, s.central = math.Hypot(s.flow, whole), math.Hypot(s.central, whole)
		}
	}
	const step = 0.03
	ask := func(relative float64, change func(*Input)) {
		if !(relative > 0) {
			return
		}
		other := in
		change(&other)
		f, ok := describe(other, p, near)
		if !ok {
			return
		}
		b := c.answer(&f)
		add := func(to *float64, was, is float64) { *to = math.Hypot(*to, relative*math.Log(is/was)/step) }
		add(&s.flow, a.FlowMLs, b.FlowMLs)
		add(&s.transit, a.TransitS, b.TransitS)
		add(&s.central, a.CentralML, b.CentralML)
	}
	ask(u.LoopFlow, func(o *Input) { o.Loop.FlowMLs *= 1 + step })
	ask(u.Tubing, func(o *Input) {
		for _, ml := range []*float64{&o.Loop.ArteryToSensorML, &o.Loop.SensorToPortML, &o.Loop.PortToSensorML, &o.Loop.SensorToVeinML} {
			*ml *= 1 + step
		}
	})
	return s
}

// ComputationOnly tells whether an interval lacks the uncertainty of something that was
// stated: volume, loop flow, tubing or sensor.
func (u Uncertainty) ComputationOnly() bool {
	for _, x := range []float64{u.Volume, u.LoopFlow, u.Tubing, u.Sensor} {
		if math.IsNaN(x) {
			return true
		}
	}
	return false
}
