package circuit

import (
	"fmt"
	"math"
)

// bound is what one number of a scenario may be.
type bound struct {
	name, unit  string
	value       float64
	above, upTo float64
	// orEqual lets the number be as small as above.
	orEqual bool
}

// Check refuses a scenario that no circuit can run: numbers that are none, sizes that
// are not positive, a loop above the flow, shunts that empty a chamber.
func (s Scenario) Check() error {
	for _, b := range s.bounds() {
		low := b.value > b.above || b.orEqual && b.value == b.above
		if !low || !(b.value <= b.upTo) || math.IsInf(b.value, 0) {
			from := "above"
			if b.orEqual {
				from = "from"
			}
			return fmt.Errorf("%s is %.6g%s; a number %s %g, up to %g%s, is wanted", b.name, b.value, b.unit, from, b.above, b.upTo, b.unit)
		}
	}
	if s.Loop.FlowMLs >= 0.9*s.FlowMLs {
		return fmt.Errorf("the loop takes %.4g of a flow of %.4g mL/s; less than nine tenths are wanted", s.Loop.FlowMLs, s.FlowMLs)
	}
	_, err := newBalance(s)
	return err
}

// bounds is the table of what Check asks. The bounds are ours and wide: they keep
// arithmetic in order and judge no patient.
func (s Scenario) bounds() []bound {
	h, l, j, st := s.Heart, s.Loop, s.Injection, s.State
	size := func(name string, ml float64) bound { return bound{name, " mL", ml, 0, 1e6, false} }
	part := func(name string, share, upTo float64) bound { return bound{name, "", share, 0, upTo, true} }
	cross := func(name string, mls float64) bound { return bound{name, " mL/s", mls, 0, 1e4, true} }
	return []bound{
		{"weight", " kg", s.WeightKg, 0, 500, false},
		{"heart rate", " per min", s.HeartRatePerMin, 10, 400, true},
		{"flow", " mL/s", s.FlowMLs, 0, 1e4, false},
		size("blood volume", s.BloodML),
		size("right atrium", h.RightAtriumML), size("right ventricle", h.RightVentricleML),
		size("left atrium", h.LeftAtriumML), size("left ventricle", h.LeftVentricleML),
		{"ejection fraction", "", h.EjectionFraction, 0.05, 0.95, true},
		size("blood of the lungs", s.LungML), size("caval volume", s.CavalML), size("aortic volume", s.AortaML),
		cross("atrial flow left to right", s.Shunts.Atrial.LeftToRight), cross("atrial flow right to left", s.Shunts.Atrial.RightToLeft),
		cross("ventricular flow left to right", s.Shunts.Ventricular.LeftToRight), cross("ventricular flow right to left", s.Shunts.Ventricular.RightToLeft),
		cross("ductal flow left to right", s.Shunts.Ductal.LeftToRight), cross("ductal flow right to left", s.Shunts.Ductal.RightToLeft),
		part("tricuspid leak", s.Leaks.Tricuspid, 0.8), part("pulmonary leak", s.Leaks.Pulmonary, 0.8),
		part("mitral leak", s.Leaks.Mitral, 0.8), part("aortic leak", s.Leaks.Aortic, 0.8),
		part("streaming", s.Streaming, 1),
		{"loop flow", " mL/s", l.FlowMLs, 0, 1e4, false},
		size("loop from artery to sensor", l.ArteryToSensorML), size("loop from sensor to port", l.SensorToPortML),
		size("loop from port to sensor", l.PortToSensorML), size("loop from sensor to vein", l.SensorToVeinML),
		size("injected volume", j.VolumeML), {"duration of the injection", " s", j.DurationS, 0.05, 600, true},
		part("ramp of the injection", j.RampShare, 0.5), part("tail of the injection", j.TailShare, 0.5),
		part("unevenness of the injection", j.Unevenness, 1),
		part("breathing", st.BreathingShare, 0.9), {"breaths", " per min", st.BreathsPerMin, 0, 300, true},
		part("irregularity", st.Irregularity, 0.5), {"drift", " per min", st.DriftPerMin, -2, 10, true},
		{"baseline", " s", s.BaselineS, 0, 3600, true}, {"record after the injection", " s", s.AfterS, 1, 36000, true},
		{"time between samples", " s", s.StepS, 0, 1, true},
	}
}

// sampleStepS is the time between two samples of what a run gives back.
func (s Scenario) sampleStepS() float64 {
	if s.StepS == 0 {
		return 0.01
	}
	return s.StepS
}
