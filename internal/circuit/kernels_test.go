package circuit

import (
	"math"
	"slices"
	"testing"
)

// Where nothing comes back the area of the curve gives the flow, and the first moment,
// less that of the entry and of the tube, the transit.
func TestKernelsGiveFlowAndVolumeWhereNothingReturns(t *testing.T) {
	for _, shunts := range []Shunts{{}, {Ductal: Crossing{LeftToRight: 8}}, {Atrial: Crossing{LeftToRight: 6}}, {Ventricular: Crossing{LeftToRight: 5}}, {Atrial: Crossing{RightToLeft: 3}}, {Ductal: Crossing{RightToLeft: 3}}} {
		for _, postductal := range []bool{false, true} {
			s := infant()
			s.Shunts, s.Postductal = shunts, postductal
			s.BloodML, s.AfterS = 1e6, 110
			s.Loop.FlowMLs = 0.004
			s.Loop.ArteryToSensorML, s.Loop.SensorToPortML, s.Loop.PortToSensorML, s.Loop.SensorToVeinML = 1e-3, 1, 1e-6, 1e-6
			r, err := Kernels{}.Run(s)
			if err != nil {
				t.Fatal(err)
			}
			area, first := 0.0, 0.0
			for i, h := range r.Arterial {
				at := r.StartS + float64(i)*r.StepS
				area += h * r.StepS
				first += h * at * r.StepS
			}
			if flow := s.Injection.VolumeML / area; math.Abs(flow/s.FlowMLs-1) > 0.002 {
				t.Errorf("%+v: flow %.4f, want %.4f", shunts, flow, s.FlowMLs)
			}
			given, entry := newSyringe(s), 0.0
			for i := range 1000 {
				from, to := s.Injection.DurationS*float64(i)/1000, s.Injection.DurationS*float64(i+1)/1000
				entry += (given.byML(to) - given.byML(from)) * (from + to) / 2
			}
			entry = entry/s.Injection.VolumeML + 1e-3/0.004
			if shunts.Atrial.RightToLeft+shunts.Ductal.RightToLeft > 0 {
				if !math.IsNaN(r.Truth.CentralML) {
					t.Errorf("%+v: a central volume of %g mL where blood passes the lungs by", shunts, r.Truth.CentralML)
				}
				continue
			}
			if transit := first/area - entry; math.Abs(transit/r.Truth.TransitS-1) > 0.01 {
				t.Errorf("%+v: transit %.4f s, want %.4f", shunts, transit, r.Truth.TransitS)
			}
		}
	}
}

func TestKernelsAreTheSameForTheSameSeed(t *testing.T) {
	a, _ := Kernels{}.Run(infant())
	b, _ := Kernels{}.Run(infant())
	s := infant()
	s.Seed++
	c, _ := Kernels{}.Run(s)
	if !slices.Equal(a.Arterial, b.Arterial) || slices.Equal(a.Arterial, c.Arterial) {
		t.Error("one seed gives two curves, or two seeds one")
	}
}

func TestKernelsRefuseWhatCannotFlow(t *testing.T) {
	for _, change := range []func(*Scenario){
		func(s *Scenario) { s.Loop.FlowMLs = 20 },
		func(s *Scenario) { s.FlowMLs = math.NaN() },
		func(s *Scenario) { s.Shunts.Atrial.RightToLeft = 12 },
	} {
		s := infant()
		change(&s)
		if _, err := (Kernels{}).Run(s); err == nil {
			t.Errorf("%+v runs", s)
		}
	}
}

func BenchmarkKernels(b *testing.B) {
	s := infant()
	for b.Loop() {
		if _, err := (Kernels{}).Run(s); err != nil {
			b.Fatal(err)
		}
	}
}
