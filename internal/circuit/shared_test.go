package circuit

import (
	"math"
	"strings"
	"testing"
)

// infant is a child of 3 kg without shunt, as the tests vary it.
func infant() Scenario {
	return Scenario{
		Seed: 7, WeightKg: 3, HeartRatePerMin: 140, FlowMLs: 11, BloodML: 250,
		Heart:  Heart{RightAtriumML: 5, RightVentricleML: 8, LeftAtriumML: 5, LeftVentricleML: 7.5, EjectionFraction: 0.62},
		LungML: 28, CavalML: 4, AortaML: 5,
		Loop:      Loop{FlowMLs: 0.2, ArteryToSensorML: 0.6, SensorToPortML: 0.3, PortToSensorML: 0.3, SensorToVeinML: 0.6},
		Injection: Injection{VolumeML: 3, DurationS: 5, RampShare: 0.1, TailShare: 0.15, Unevenness: 0.1, RaisesFlow: true},
		BaselineS: 20, AfterS: 90,
	}
}

func TestTheWholeVolumeIsGivenAndNeverTakenBack(t *testing.T) {
	for seed := range uint64(50) {
		s := infant()
		s.Seed, s.Injection.Unevenness = seed, 0.8
		given := newSyringe(s)
		before := 0.0
		for at := -1.0; at <= s.Injection.DurationS+1; at += 0.013 {
			if given.byML(at) < before {
				t.Fatalf("seed %d: %g mL at %g s after %g mL", seed, given.byML(at), at, before)
			}
			before = given.byML(at)
		}
		if before != s.Injection.VolumeML || given.byML(0) != 0 {
			t.Errorf("seed %d: from %g to %g mL, want 0 to %g", seed, given.byML(0), before, s.Injection.VolumeML)
		}
	}
}

func TestTheRateHasTheUnevennessThatWasAsked(t *testing.T) {
	s := infant()
	s.Injection = Injection{VolumeML: 1, DurationS: 1, Unevenness: 0.1}
	given := newSyringe(s)
	square := 0.0
	for i := range syringeCells {
		rate := (given.givenML[i+1] - given.givenML[i]) * syringeCells
		square += (rate - 1) * (rate - 1)
	}
	if sd := math.Sqrt(square / syringeCells); math.Abs(sd-0.1) > 0.001 {
		t.Errorf("relative SD of the rate is %g, want 0.1", sd)
	}
}

func TestAStateThatDoesNothingLeavesTheFlowAlone(t *testing.T) {
	s := infant()
	s.Injection.RaisesFlow = false
	c, err := newCourse(s, newSyringe(s))
	if err != nil {
		t.Fatal(err)
	}
	beats := rhythm{beats: c.beats}
	for at := 0.0; at < s.AfterS; at += 0.7 {
		if c.slowAt(at) != 1 || math.Abs(beats.at(at).flow(s.HeartRatePerMin)-1) > 1e-12 {
			t.Fatalf("at %g s: slow factor %g, beat %g, want 1", at, c.slowAt(at), beats.at(at).flow(s.HeartRatePerMin))
		}
	}
}

func TestAddedVolumeRaisesTheFlowByAFewPerCentForSomeSeconds(t *testing.T) {
	for seed := range uint64(50) {
		s := infant()
		s.Seed = seed
		c, err := newCourse(s, newSyringe(s))
		if err != nil {
			t.Fatal(err)
		}
		highest := 0.0
		for _, factor := range c.slow {
			highest = max(highest, factor-1)
		}
		if late := c.slowAt(80) - 1; highest < 0.008 || highest > 0.06 || late > highest/50 {
			t.Errorf("seed %d: rise by %g, left at 80 s %g", seed, highest, late)
		}
	}
}

func TestBeatsFollowOneAnotherAndKeepTheMeanFlow(t *testing.T) {
	s := infant()
	s.State.Irregularity, s.AfterS = 0.2, 600
	c, err := newCourse(s, newSyringe(s))
	if err != nil {
		t.Fatal(err)
	}
	thrown, end := 0.0, c.beats[0].startS
	for _, b := range c.beats {
		if math.Abs(b.startS-end) > 1e-9 {
			t.Fatalf("a beat starts at %g s, the one before ends at %g s", b.startS, end)
		}
		thrown += b.stroke * 60 / s.HeartRatePerMin
		end = b.startS + b.lengthS
	}
	if mean := thrown / (end - c.beats[0].startS); math.Abs(mean-1) > 0.02 {
		t.Errorf("mean flow is %g of the stated one", mean)
	}
}

func TestNonsenseIsRefusedWithItsName(t *testing.T) {
	for _, c := range []struct {
		name, want string
		spoil      func(*Scenario)
	}{
		{"no weight", "weight is 0 kg", func(s *Scenario) { s.WeightKg = 0 }},
		{"flow that is no number", "flow is NaN mL/s", func(s *Scenario) { s.FlowMLs = math.NaN() }},
		{"infinite blood", "blood volume is +Inf mL", func(s *Scenario) { s.BloodML = math.Inf(1) }},
		{"negative tube", "loop from port to sensor is -1 mL", func(s *Scenario) { s.Loop.PortToSensorML = -1 }},
		{"negative shunt", "atrial flow right to left is -1 mL/s", func(s *Scenario) { s.Shunts.Atrial.RightToLeft = -1 }},
		{"leak of all", "mitral leak is 1", func(s *Scenario) { s.Leaks.Mitral = 1 }},
		{"loop above the flow", "the loop takes 12", func(s *Scenario) { s.Loop.FlowMLs = 12 }},
		{"no injection", "injected volume is 0 mL", func(s *Scenario) { s.Injection.VolumeML = 0 }},
		{"shunt that empties the right heart", "the tricuspid valve", func(s *Scenario) { s.Shunts.Atrial.RightToLeft = 11 }},
		{"shunt that empties the lungs", "the lungs", func(s *Scenario) {
			s.Shunts.Ductal.RightToLeft, s.Shunts.Ventricular.RightToLeft = 6, 5
		}},
		{"shunt that empties the aorta", "the aortic valve", func(s *Scenario) {
			s.Shunts.Ductal.RightToLeft, s.Shunts.Ventricular.LeftToRight = 10.9, 5
		}},
	} {
		s := infant()
		c.spoil(&s)
		if err := s.Check(); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v; want a refusal that says %q", c.name, err, c.want)
		}
	}
	if err := infant().Check(); err != nil {
		t.Errorf("the infant is refused: %v", err)
	}
}

func TestAFlowThatFallsToThatOfTheLoopIsRefused(t *testing.T) {
	s := infant()
	s.Loop.FlowMLs, s.State.DriftPerMin = 8, -0.5
	if _, err := newCourse(s, newSyringe(s)); err == nil || !strings.Contains(err.Error(), "the flow falls to") {
		t.Errorf("got %v", err)
	}
}

func TestTheFlowsOfTheHeartBalance(t *testing.T) {
	for _, level := range []func(*Shunts) *Crossing{
		func(s *Shunts) *Crossing { return &s.Atrial },
		func(s *Shunts) *Crossing { return &s.Ventricular },
		func(s *Shunts) *Crossing { return &s.Ductal },
	} {
		for _, way := range []Crossing{{LeftToRight: 9}, {RightToLeft: 3}, {LeftToRight: 2, RightToLeft: 4}} {
			s := infant()
			*level(&s.Shunts) = way
			b, err := newBalance(s)
			if err != nil {
				t.Fatal(err)
			}
			qs, a, v, d := s.FlowMLs, s.Shunts.Atrial.net(), s.Shunts.Ventricular.net(), s.Shunts.Ductal.net()
			// Each chamber and vessel gives what it gets.
			for name, leftOver := range map[string]float64{
				"right atrium":     qs + a - b.tricuspid,
				"right ventricle":  b.tricuspid + v - b.pulmonaryValve,
				"pulmonary artery": b.pulmonaryValve + d - b.lungs,
				"left atrium":      b.lungs - a - b.mitral,
				"left ventricle":   b.mitral - v - b.aorticValve,
				"aorta":            b.aorticValve - d - qs,
			} {
				if math.Abs(leftOver) > 1e-9 {
					t.Errorf("%+v: %s keeps %g mL/s", s.Shunts, name, leftOver)
				}
			}
		}
	}
}

func TestTruthWeighsTheFlowByTheFirstPass(t *testing.T) {
	s := infant()
	tip := []float64{0, 1, 4, 2, 0.7, 0.9}
	flow := []float64{90, 10, 11, 12, 90, 90}
	r := recorded{stepS: 20, tip: tip, sensor: tip, systemicMLs: flow, pulmonaryMLs: flow, transitS: 3}
	got := r.truth(s)
	if want := (10.0 + 44 + 24) / 7; math.Abs(got.FlowMLs-want) > 1e-12 {
		t.Errorf("flow %g, want %g", got.FlowMLs, want)
	}
	if got.CentralML != 33 {
		t.Errorf("central volume %g, want 33", got.CentralML)
	}
	// 5 s injection, 60 s, tubes of 1.5 mL at 0.2 mL/s: 72.5 s, that is 3.625 samples.
	if want := 3 / (2 - 0.625*1.3); math.Abs(got.DistributionML-want) > 1e-9 {
		t.Errorf("distribution volume %g, want %g", got.DistributionML, want)
	}
}
