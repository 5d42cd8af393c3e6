package circuit

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"strings"
	"testing"
)

// variants are the infants that the tests of both circuits run over.
func variants() map[string]Scenario {
	all := map[string]Scenario{}
	for _, v := range []struct {
		name string
		to   func(*Scenario)
	}{
		{"no shunt", func(*Scenario) {}},
		{"postductal", func(s *Scenario) { s.Postductal = true }},
		{"atrial left to right", func(s *Scenario) { s.Shunts.Atrial.LeftToRight = 11 }},
		{"atrial right to left", func(s *Scenario) { s.Shunts.Atrial.RightToLeft = 3 }},
		{"atrial both ways, streaming", func(s *Scenario) {
			s.Shunts.Atrial, s.Streaming = Crossing{LeftToRight: 3, RightToLeft: 2}, 0.8
		}},
		{"streaming wholly", func(s *Scenario) { s.Streaming = 1 }},
		{"ventricular left to right", func(s *Scenario) { s.Shunts.Ventricular.LeftToRight = 15 }},
		{"ventricular right to left", func(s *Scenario) { s.Shunts.Ventricular.RightToLeft = 3 }},
		{"ductal left to right, postductal", func(s *Scenario) { s.Shunts.Ductal.LeftToRight, s.Postductal = 20, true }},
		{"ductal right to left", func(s *Scenario) { s.Shunts.Ductal.RightToLeft = 3 }},
		{"ductal right to left, postductal", func(s *Scenario) { s.Shunts.Ductal.RightToLeft, s.Postductal = 3, true }},
		{"all levels", func(s *Scenario) {
			s.Shunts = Shunts{Atrial: Crossing{2, 3}, Ventricular: Crossing{4, 1}, Ductal: Crossing{5, 2}}
			s.Postductal = true
		}},
		{"leaks", func(s *Scenario) { s.Leaks = Leaks{0.3, 0.2, 0.4, 0.25} }},
		{"faster than the veins", func(s *Scenario) { s.Injection.DurationS = 0.2 }},
		{"unsteady", func(s *Scenario) { s.State = State{0.25, 40, 0.2, -0.2} }},
	} {
		s := infant()
		v.to(&s)
		all[v.name] = s
	}
	return all
}

func TestTanksConserveMass(t *testing.T) {
	for name, s := range variants() {
		run, err := Tanks{}.Run(s)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if !(run.Truth.ResidualML <= 1e-9) {
			t.Errorf("%s: mass is off by %g", name, run.Truth.ResidualML)
		}
	}
}

func TestTanksAreNeverNegativeAndReturnToTheirVolumes(t *testing.T) {
	for name, s := range variants() {
		s.Injection.RaisesFlow = false
		given := newSyringe(s)
		c, err := newCourse(s, given)
		if err != nil {
			t.Fatal(err)
		}
		tk, err := newTanks(s, given, c, lacking{})
		if err != nil {
			t.Fatal(err)
		}
		tk.record(s, given, 2)
		blood := 0.0
		for i, ml := range tk.net.massML {
			if ml < 0 || !(tk.net.volumeML[i] > 0) {
				t.Errorf("%s: tank %d holds %g of %g mL", name, i, ml, tk.net.volumeML[i])
			}
		}
		for j := range places {
			blood += tk.net.volumeML[j]
			if v := tk.net.volumeML[j]; j < upperVeins && (v < 0.9*tk.smallestML[j] || v > 4*tk.meanML[j]) {
				t.Errorf("%s: %v holds %g mL at the end, mean %g", name, j, v, tk.meanML[j])
			}
		}
		for _, c := range tk.net.chains[tk.entry:] {
			blood += c.volumeML()
		}
		// The volumes of heart and vessels swing with the beat; those of a dilated heart by
		// some strokes.
		if want := s.BloodML + s.Injection.VolumeML; math.Abs(blood-want) > 0.02*want {
			t.Errorf("%s: %g mL of blood at the end, want %g", name, blood, want)
		}
	}
}

// opened is a scenario from whose body and loop nothing comes back.
func opened(s Scenario) Scenario {
	s.BloodML, s.Loop.SensorToPortML, s.Injection.RaisesFlow, s.AfterS = 1e6, 1e4, false, 150
	return s
}

func TestAnOpenBodyReturnsFlowAndVolumeToATenthOfAPerCent(t *testing.T) {
	for name, s := range variants() {
		if name == "unsteady" {
			continue
		}
		s = opened(s)
		run, err := Tanks{}.Run(s)
		if err != nil {
			t.Fatal(err)
		}
		area, _ := areaAndMean(s, run)
		if flow := s.Injection.VolumeML / area; math.Abs(flow/s.FlowMLs-1) > 1e-3 {
			t.Errorf("%s: volume by area is %g mL/s, want %g", name, flow, s.FlowMLs)
		}
		if s.rightToLeft() {
			if !math.IsNaN(run.Truth.CentralML) {
				t.Errorf("%s: central volume is %g mL, want none", name, run.Truth.CentralML)
			}
			continue
		}
		// So little that the flow of the caval vein stays at rest.
		s.Injection.VolumeML /= 1e4
		if run, err = (Tanks{}).Run(s); err != nil {
			t.Fatal(err)
		}
		_, mean := areaAndMean(s, run)
		transit := mean - entryMean(t, s) - s.Loop.ArteryToSensorML/s.Loop.FlowMLs
		if math.Abs(s.FlowMLs*transit/run.Truth.CentralML-1) > 1e-3 {
			t.Errorf("%s: flow times transit is %g mL, truth says %g", name, s.FlowMLs*transit, run.Truth.CentralML)
		}
	}
}

// areaAndMean of the arterial curve from time 0 on.
func areaAndMean(s Scenario, run Run) (area, mean float64) {
	start := int(math.Round(s.BaselineS / run.StepS))
	for i, c := range run.Arterial[start:] {
		area += c * run.StepS
		mean += c * run.StepS * float64(i) * run.StepS
	}
	return area, mean / area
}

// entryMean is the mean time at which the indicator enters the vein.
func entryMean(t *testing.T, s Scenario) float64 {
	t.Helper()
	given := newSyringe(s)
	c, err := newCourse(s, given)
	if err != nil {
		t.Fatal(err)
	}
	tk, err := newTanks(s, given, c, lacking{})
	if err != nil {
		t.Fatal(err)
	}
	const stepS = 0.005
	m := moved{loopS: stepS}
	// The mean time of entering is the time integral of what has not entered, by the whole.
	mean := 0.0
	for i := range int(60 / stepS) {
		at := float64(i+1) * stepS
		tk.clock.advance(at, &m)
		m.injectedML = given.byML(at) - given.byML(at-stepS)
		tk.net.step(&m, stepS)
		waiting := s.Injection.VolumeML - given.byML(at)
		for _, c := range tk.net.chains[tk.net.port:tk.entry] {
			for k := c.first; k <= c.last; k++ {
				waiting += tk.net.massML[k]
			}
		}
		mean += waiting * stepS / s.Injection.VolumeML
	}
	return mean
}

func TestEqualSeedsGiveEqualBytes(t *testing.T) {
	for name, s := range variants() {
		var bytesOf [2]bytes.Buffer
		for i := range bytesOf {
			run, err := Tanks{}.Run(s)
			if err != nil {
				t.Fatal(err)
			}
			if err := binary.Write(&bytesOf[i], binary.LittleEndian, append(run.Arterial, run.Venous...)); err != nil {
				t.Fatal(err)
			}
			fmt.Fprintf(&bytesOf[i], "%+v", run.Truth)
		}
		if !bytes.Equal(bytesOf[0].Bytes(), bytesOf[1].Bytes()) {
			t.Errorf("%s: two runs differ", name)
		}
	}
}

func TestTanksRefuseWhatCannotFlow(t *testing.T) {
	for _, c := range []struct {
		name, want string
		spoil      func(*Scenario)
	}{
		{"nonsense", "weight is -1 kg", func(s *Scenario) { s.WeightKg = -1 }},
		{"no blood left for the body", "has to be in the body", func(s *Scenario) { s.BloodML = 70 }},
		{"a tube without room", "its volume is too small", func(s *Scenario) { s.Loop.SensorToPortML = 1e-9 }},
		{"duct that empties the arch", "the upper body", func(s *Scenario) { s.Shunts.Ductal.RightToLeft = 10.3 }},
	} {
		s := infant()
		c.spoil(&s)
		if _, err := (Tanks{}).Run(s); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v; want a refusal that says %q", c.name, err, c.want)
		}
	}
}

func TestEachStructureOfTanksCanBeTakenAway(t *testing.T) {
	s := infant()
	s.Shunts.Ventricular.LeftToRight, s.AfterS = 5, 40
	whole, err := Tanks{}.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	all := Tanks{}
	for _, structure := range Structures() {
		all = all.Without(structure)
		less, err := Tanks{}.Without(structure).Run(s)
		if err != nil {
			t.Fatalf("without %s: %v", structure, err)
		}
		if !(less.Truth.ResidualML <= 1e-9) {
			t.Errorf("without %s: mass is off by %g", structure, less.Truth.ResidualML)
		}
		most := 0.0
		for i := range less.Arterial {
			most = max(most, math.Abs(less.Arterial[i]-whole.Arterial[i]))
		}
		most /= peakOf(whole.Arterial)
		if has := (Tanks{}).Has(structure); has != (most > 0.002) || !has && most != 0 {
			t.Errorf("without %s the curve changes by %g of its peak", structure, most)
		}
		// Steady ventricles are no fuller at one time than at another: their mean differs.
		if change := math.Abs(less.Truth.CentralML/whole.Truth.CentralML - 1); structure != Beats && change > 1e-9 {
			t.Errorf("without %s: central volume is %g mL, was %g", structure, less.Truth.CentralML, whole.Truth.CentralML)
		}
	}
	if _, err := all.Run(s); err != nil {
		t.Errorf("without all of them: %v", err)
	}
}

func BenchmarkTanks(b *testing.B) {
	s := infant()
	s.BaselineS = 60
	for b.Loop() {
		if _, err := (Tanks{}).Run(s); err != nil {
			b.Fatal(err)
		}
	}
}

func TestTheJunctionsOfTanksBalanceAndTheirValvesGiveTheFlowsOfTheHeart(t *testing.T) {
	for name, s := range variants() {
		given := newSyringe(s)
		c, err := newCourse(s, given)
		if err != nil {
			t.Fatal(err)
		}
		tk, err := newTanks(s, given, c, lacking{})
		if err != nil {
			t.Fatal(err)
		}
		// Body, loop and syringe have to balance each by itself: only then no chamber
		// creeps.
		body := moved{steadyS: 1}
		for v := range valves {
			body.valveS[v] = 1
		}
		for what, m := range map[string]moved{"body": body, "loop": {loopS: 1}, "injection": {injectedML: 1}} {
			gain := map[junction]float64{}
			tk.net.measure(&m)
			for _, l := range tk.net.links {
				gain[junction(l.from)] -= l.movedML
				if l.chain < 0 {
					gain[junction(l.to)] += l.movedML
				}
			}
			for _, c := range tk.net.chains {
				if c.next < 0 {
					gain[junction(c.to)] += (1 - c.pastShare) * c.movedML
					gain[junction(c.past)] += c.pastShare * c.movedML
				}
			}
			stored := 0.0
			for j, ml := range gain {
				if j == upperVeins || j == lowerVeins {
					stored += ml
				} else if math.Abs(ml) > 1e-9 {
					t.Errorf("%s: %v gains %g of the %s", name, j, ml, what)
				}
			}
			if math.Abs(stored-m.injectedML) > 1e-9 {
				t.Errorf("%s: the veins gain %g of the %s", name, stored, what)
			}
		}
		for _, want := range []struct {
			from, to junction
			netMLs   float64
		}{
			{rightVentricle, pulmonaryArtery, s.FlowMLs + s.Shunts.Atrial.net() + s.Shunts.Ventricular.net()},
			{leftAtrium, leftVentricle, s.FlowMLs + s.Shunts.Ventricular.net() + s.Shunts.Ductal.net()},
			{leftVentricle, aorticRoot, s.FlowMLs + s.Shunts.Ductal.net()},
			{leftVentricle, rightVentricle, s.Shunts.Ventricular.net()},
			{isthmus, pulmonaryArtery, s.Shunts.Ductal.net()},
			{leftAtrium, rightAtrium, s.Shunts.Atrial.net()},
		} {
			got := tk.netFlow(want.from, want.to)
			if want.from == leftAtrium && want.to == rightAtrium {
				got += tk.netFlow(leftAtrium, atrialStream)
			}
			if math.Abs(got-want.netMLs) > 1e-9 {
				t.Errorf("%s: %g mL/s go from %v to %v, want %g", name, got, want.from, want.to, want.netMLs)
			}
		}
		if lungs := tk.restingMLs[tk.entry+2] + tk.restingMLs[tk.entry+3]; math.Abs(lungs-tk.balance.lungs) > 1e-9 {
			t.Errorf("%s: %g mL/s go through the lungs, want %g", name, lungs, tk.balance.lungs)
		}
	}
}

// netFlow is the resting flow from one junction to another, less what comes back.
func (t *tanks) netFlow(from, to junction) (netMLs float64) {
	for _, l := range t.net.links {
		switch {
		case l.chain >= 0:
		case l.from == int(from) && l.to == int(to):
			netMLs += l.restingMLs()
		case l.from == int(to) && l.to == int(from):
			netMLs -= l.restingMLs()
		}
	}
	return netMLs
}

func TestIndicatorAppearsEarlyOnlyWhereBloodGoesPastTheLungsToTheSensor(t *testing.T) {
	usual, err := Tanks{}.Run(infant())
	if err != nil {
		t.Fatal(err)
	}
	early := firstAbove(usual.Arterial, 0.02*peakOf(usual.Arterial))
	for _, c := range []struct {
		name     string
		shunt    Shunts
		postduct bool
		appears  bool
	}{
		{"none", Shunts{}, false, false},
		{"none, postductal", Shunts{}, true, false},
		{"atrial right to left", Shunts{Atrial: Crossing{RightToLeft: 2.5}}, false, true},
		{"atrial both ways", Shunts{Atrial: Crossing{LeftToRight: 4, RightToLeft: 2.5}}, true, true},
		{"atrial left to right", Shunts{Atrial: Crossing{LeftToRight: 8}}, false, false},
		{"ventricular right to left", Shunts{Ventricular: Crossing{RightToLeft: 2.5}}, false, true},
		{"ventricular left to right", Shunts{Ventricular: Crossing{LeftToRight: 8}}, false, false},
		{"ductal right to left before the duct", Shunts{Ductal: Crossing{RightToLeft: 2.5}}, false, false},
		{"ductal right to left behind the duct", Shunts{Ductal: Crossing{RightToLeft: 2.5}}, true, true},
		{"ductal left to right", Shunts{Ductal: Crossing{LeftToRight: 8}}, true, false},
	} {
		s := infant()
		s.Shunts, s.Postductal = c.shunt, c.postduct
		run, err := Tanks{}.Run(s)
		if err != nil {
			t.Fatal(err)
		}
		// What is there when 2 per cent of the usual curve have come: more flow through the
		// lungs brings the curve on a little, a way past them much.
		share := run.Arterial[early] / peakOf(run.Arterial)
		if appears := share > 0.13; appears != c.appears {
			t.Errorf("%s: %.3g of the peak when the usual curve begins", c.name, share)
		}
	}
}

func TestTanksTakeEverybodyWhoIsDrawn(t *testing.T) {
	for _, shunt := range Shuntings() {
		for seed := range uint64(6) {
			for _, wide := range []bool{false, true} {
				s := Population{Wide: wide, Shunt: shunt}.Draw(seed)
				s.AfterS = 20
				run, err := Tanks{}.Run(s)
				if err != nil {
					t.Errorf("%v, seed %d, wide %t: %v", shunt, seed, wide, err)
				} else if !(run.Truth.ResidualML <= 1e-9) {
					t.Errorf("%v, seed %d, wide %t: mass is off by %g", shunt, seed, wide, run.Truth.ResidualML)
				}
			}
		}
	}
}

func TestSensorsOfTanksShowBetweenNoneAndAllUnderAHastyHand(t *testing.T) {
	for _, durationS := range []float64{0.05, 0.2, 1} {
		for _, streaming := range []float64{0, 0.5, 1} {
			s := infant()
			s.Injection.DurationS, s.Streaming, s.Shunts.Atrial.RightToLeft, s.AfterS = durationS, streaming, 3, 20
			run, err := Tanks{}.Run(s)
			if err != nil {
				t.Fatal(err)
			}
			for i, h := range append(run.Arterial, run.Venous...) {
				if !(h >= 0 && h <= 1) {
					t.Fatalf("%g s, streaming %g: sample %d is %g", durationS, streaming, i, h)
				}
			}
		}
	}
}
