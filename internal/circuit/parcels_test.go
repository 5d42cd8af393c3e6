package circuit

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// shuntCase is one pattern of communications; the first has none.
type shuntCase struct {
	name   string
	shunts Shunts
}

// shuntCases has every communication of the infant, either way, alone and together.
func shuntCases() []shuntCase {
	return []shuntCase{
		{"none", Shunts{}},
		{"atrial left to right", Shunts{Atrial: Crossing{LeftToRight: 9}}},
		{"ventricular left to right", Shunts{Ventricular: Crossing{LeftToRight: 9}}},
		{"ductal left to right", Shunts{Ductal: Crossing{LeftToRight: 9}}},
		{"all left to right", Shunts{Crossing{LeftToRight: 6}, Crossing{LeftToRight: 5}, Crossing{LeftToRight: 7}}},
		{"atrial right to left", Shunts{Atrial: Crossing{RightToLeft: 3}}},
		{"ventricular right to left", Shunts{Ventricular: Crossing{RightToLeft: 3}}},
		{"ductal right to left", Shunts{Ductal: Crossing{RightToLeft: 3}}},
		{"all right to left", Shunts{Crossing{RightToLeft: 2}, Crossing{RightToLeft: 2}, Crossing{RightToLeft: 2}}},
		{"all both ways", Shunts{Crossing{4, 2}, Crossing{3, 2}, Crossing{3, 2}}},
		{"foramen right to left, duct left to right", Shunts{Atrial: Crossing{RightToLeft: 2}, Ductal: Crossing{LeftToRight: 6}}},
	}
}

// restless is an infant in whom everything happens.
func restless(seed uint64) Scenario {
	s := infant()
	s.Seed, s.Wide, s.Postductal = seed, seed%2 == 0, seed%3 == 0
	s.Leaks = Leaks{0.15, 0.1, 0.2, 0.1}
	s.Streaming = 0.3
	s.State = State{BreathingShare: 0.2, BreathsPerMin: 40, Irregularity: 0.15, DriftPerMin: 0.05}
	return s
}

// withoutReturn runs a scenario at rest, in a body that gives nothing back. It gives the
// flow by the area of the arterial curve, mL/s, its first moment, s, and that of the
// entry.
func withoutReturn(t *testing.T, s Scenario) (run Run, flowMLs, momentS, entryS float64) {
	t.Helper()
	// So little is injected that it does not change the flow in the vein.
	s.State, s.Injection.RaisesFlow, s.Injection.VolumeML = State{}, false, 1e-4
	s.BaselineS, s.AfterS = 0, 400
	run, entryS, err := Parcels{cut: true}.run(s)
	if err != nil {
		t.Fatal(err)
	}
	areaS := 0.0
	for i, c := range run.Arterial {
		areaS += c * run.StepS
		momentS += c * run.StepS * float64(i) * run.StepS
	}
	return run, s.Injection.VolumeML / areaS, momentS / areaS, entryS
}

func TestNoIndicatorIsLostOrMadeAmongParcels(t *testing.T) {
	for _, c := range shuntCases() {
		for seed := range uint64(3) {
			s := restless(seed)
			s.Shunts = c.shunts
			run, err := Parcels{}.Run(s)
			if err != nil {
				t.Fatalf("%s, seed %d: %v", c.name, seed, err)
			}
			if !(run.Truth.ResidualML <= 1e-9) {
				t.Errorf("%s, seed %d: mass is off by %g", c.name, seed, run.Truth.ResidualML)
			}
			for i := range run.Arterial {
				if !(run.Arterial[i] >= -1e-15 && run.Venous[i] >= -1e-15 && run.Venous[i] <= 1+1e-12) {
					t.Fatalf("%s, seed %d: sample %d is %g, %g", c.name, seed, i, run.Arterial[i], run.Venous[i])
				}
			}
		}
	}
}

func TestAreaAndFirstMomentGiveFlowAndVolumeOfParcelsWithoutReturn(t *testing.T) {
	for _, c := range shuntCases() {
		for seed := range uint64(2) {
			s := restless(seed)
			s.Shunts = c.shunts
			if s.Shunts.Ductal.RightToLeft > 0 {
				continue // two paths: the area says Qs at neither site
			}
			run, flowMLs, momentS, entryS := withoutReturn(t, s)
			if math.Abs(flowMLs/s.FlowMLs-1) > 1e-3 {
				t.Errorf("%s, seed %d: volume by area gives %g mL/s, want %g", c.name, seed, flowMLs, s.FlowMLs)
			}
			if s.rightToLeft() {
				if !math.IsNaN(run.Truth.CentralML) {
					t.Errorf("%s: central volume is %g, want none", c.name, run.Truth.CentralML)
				}
				continue
			}
			central := s.FlowMLs * (momentS - entryS - s.Loop.ArteryToSensorML/s.Loop.FlowMLs)
			if math.Abs(central/run.Truth.CentralML-1) > 1e-3 {
				t.Errorf("%s, seed %d: first moment gives %g mL, truth says %g", c.name, seed, central, run.Truth.CentralML)
			}
		}
	}
}

func TestCentralVolumeOfParcelsIsTheBloodOnTheWay(t *testing.T) {
	s := infant()
	run, err := Parcels{}.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	// The vessels at both tips carry a part of the flow and count by its inverse.
	h := s.Heart
	all := h.RightAtriumML + h.RightVentricleML + h.LeftAtriumML + h.LeftVentricleML + s.LungML + s.CavalML + s.AortaML
	if run.Truth.CentralML < all || run.Truth.CentralML > all+2.5*(s.CavalML+s.AortaML) {
		t.Errorf("central volume is %g mL, the blood on the way is %g mL", run.Truth.CentralML, all)
	}
}

// TestFlowsOfParcelsBalance marks all blood and asks that every chamber keeps what it
// has: each gives what it gets, at every communication.
func TestFlowsOfParcelsBalance(t *testing.T) {
	for _, c := range shuntCases() {
		s := infant()
		s.Shunts, s.Leaks = c.shunts, Leaks{0.1, 0.2, 0.15, 0.1}
		p, err := newParcelled(s, span{1, 1})
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		r := p.rest
		qs, a, v, d := s.FlowMLs, s.Shunts.Atrial.net(), s.Shunts.Ventricular.net(), s.Shunts.Ductal.net()
		for _, want := range []struct {
			name      string
			got, want float64
		}{
			{"aortic valve = Qs + d", r.aortic - r.aorticLeak, qs + d},
			{"pulmonary valve = Qs + a + v", r.pulmonary - r.pulmonaryLeak, qs + a + v},
			{"Qp = Qs + a + v + d", r.lungs, qs + a + v + d},
			{"right atrium", r.systemic + r.atrial.LeftToRight + r.tricuspidLeak, r.tricuspid + r.atrial.RightToLeft},
			{"left atrium", r.lungs + r.atrial.RightToLeft + r.mitralLeak, r.mitral + r.atrial.LeftToRight},
			{"aorta", r.bulb + r.ductal.RightToLeft, r.ductal.LeftToRight + r.body + r.loop},
			{"organs", r.byArtery[root] + r.byArtery[arch] + r.byArtery[descending], 1},
			{"veins", r.byVein[upperCava] + r.byVein[lowerCava] + r.byVein[atrium], 1},
		} {
			if math.Abs(want.got-want.want) > 1e-9 {
				t.Errorf("%s: %s: %g, want %g", c.name, want.name, want.got, want.want)
			}
		}
	}
}

// TestAMarkedCirculationOfParcelsStaysMarked fills chambers and vessels of the heart
// with indicator and lets it in at all veins: nothing may rise above or fall below one,
// which it would where a flow in is not a flow out.
func TestAMarkedCirculationOfParcelsStaysMarked(t *testing.T) {
	for _, c := range shuntCases() {
		s := restless(3)
		s.Shunts = c.shunts
		p, err := newParcelled(s, span{0.5, 1.5})
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		w := walk{parcelled: p, stepS: 0.01}
		for _, room := range w.chambers() {
			room.stirred, room.aside = room.stirredML, room.asideML
		}
		for i := range w.organs {
			w.organs[i].leaves = 0
		}
		fill := func(l *ledger, at float64) { l.enter(at, at) }
		for _, v := range w.ways() {
			slowest := 0.0
			for _, strand := range v.strands {
				slowest = max(slowest, strand.behindML)
			}
			fill(v.entered, slowest)
			v.outML = slowest
			for i := range v.strands {
				v.strands[i].leftML = slowest - v.strands[i].behindML
			}
		}
		slowest := 0.0
		for _, o := range w.organs {
			for _, strand := range o.vessels.strands {
				slowest = max(slowest, strand.behindML)
			}
		}
		for _, l := range w.toOrgans {
			fill(l, slowest)
		}
		for _, o := range w.organs {
			o.vessels.outML = slowest
			for i := range o.vessels.strands {
				o.vessels.strands[i].leftML = slowest - o.vessels.strands[i].behindML
			}
		}
		for i := range 3000 {
			shown := w.step(1+0.3*math.Sin(float64(i)/50), 0, i%40 == 0)
			for _, x := range []float64{shown.tip, shown.arterial, shown.venous} {
				if math.Abs(x-1) > 1e-9 {
					t.Fatalf("%s: step %d shows %g of a circulation that is all indicator", c.name, i, x)
				}
			}
		}
	}
}

func TestBloodFromRightToLeftAppearsEarlyAmongParcels(t *testing.T) {
	for _, c := range []struct {
		name       string
		shunts     Shunts
		postductal bool
		early      bool
	}{
		{"none", Shunts{}, false, false},
		{"atrial right to left", Shunts{Atrial: Crossing{RightToLeft: 3}}, false, true},
		{"ventricular right to left", Shunts{Ventricular: Crossing{RightToLeft: 3}}, true, true},
		{"ductal right to left, behind the duct", Shunts{Ductal: Crossing{RightToLeft: 3}}, true, true},
		{"ductal right to left, before the duct", Shunts{Ductal: Crossing{RightToLeft: 3}}, false, false},
	} {
		for seed := range uint64(4) {
			s := infant()
			s.Seed, s.Injection.RaisesFlow, s.Postductal = seed, false, c.postductal
			plain, err := Parcels{}.Run(s)
			if err != nil {
				t.Fatal(err)
			}
			s.Shunts = c.shunts
			run, err := Parcels{}.Run(s)
			if err != nil {
				t.Fatal(err)
			}
			// The part of the first pass that is there when nothing has passed the lungs yet.
			at := firstAbove(plain.Arterial, 0.01*highest(plain.Arterial))
			if early := run.Arterial[at] > 0.04*highest(run.Arterial); early != c.early {
				t.Errorf("%s, seed %d: at the first arrival without shunt %g of the peak, early %t; want %t",
					c.name, seed, run.Arterial[at]/highest(run.Arterial), early, c.early)
			}
		}
	}
}

func highest(curve []float64) (peak float64) {
	for _, c := range curve {
		peak = max(peak, c)
	}
	return peak
}

func firstAbove(curve []float64, level float64) int {
	for i, c := range curve {
		if c > level {
			return i
		}
	}
	return len(curve) - 1
}

func TestEqualSeedsGiveEqualParcels(t *testing.T) {
	s := restless(5)
	first, err := Parcels{}.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	second, err := Parcels{}.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	s.Seed = 6
	third, err := Parcels{}.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	same, other := true, true
	for i := range first.Arterial {
		same = same && math.Float64bits(first.Arterial[i]) == math.Float64bits(second.Arterial[i]) &&
			math.Float64bits(first.Venous[i]) == math.Float64bits(second.Venous[i])
		other = other && first.Arterial[i] == third.Arterial[i]
	}
	if !same || first.Truth != second.Truth {
		t.Error("the same scenario ran differently")
	}
	if other {
		t.Error("another seed gave the same curve")
	}
}

func TestTheRecordIsAsLongAsAsked(t *testing.T) {
	for _, c := range []struct{ stepS, baselineS, afterS float64 }{
		{0, 20, 90}, {0.01, 0, 30}, {0.02, 8, 75}, {0.04, 60, 90}, {0.005, 8, 20}, {0.033, 10, 31},
	} {
		s := infant()
		s.StepS, s.BaselineS, s.AfterS = c.stepS, c.baselineS, c.afterS
		run, err := Parcels{}.Run(s)
		if err != nil {
			t.Fatal(err)
		}
		end := run.StartS + float64(len(run.Arterial)-1)*run.StepS
		if math.Abs(run.StartS+c.baselineS) > run.StepS || math.Abs(end-c.afterS) > run.StepS || len(run.Venous) != len(run.Arterial) {
			t.Errorf("%+v: record from %g to %g s, %d and %d samples", c, run.StartS, end, len(run.Arterial), len(run.Venous))
		}
	}
}

func TestParcelsKeepOneAnotherAtAnyStep(t *testing.T) {
	s := infant()
	fine, err := Parcels{}.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	s.StepS = 0.04
	coarse, err := Parcels{}.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	peak := highest(fine.Arterial)
	for i := range coarse.Arterial {
		if math.Abs(coarse.Arterial[i]-fine.Arterial[4*i]) > 1e-9*peak {
			t.Fatalf("at %g s: %g at 25 Hz, %g at 100 Hz", coarse.StartS+float64(i)*0.04, coarse.Arterial[i], fine.Arterial[4*i])
		}
	}
}

func TestParcelsRefuseWhatCannotFlow(t *testing.T) {
	for _, c := range []struct {
		name, want string
		spoil      func(*Scenario)
	}{
		{"what no circuit runs", "weight is 0 kg", func(s *Scenario) { s.WeightKg = 0 }},
		{"no blood left for the body", "has to be in the body", func(s *Scenario) { s.BloodML = 40 }},
		{"duct that turns the descending aorta", "through the duct from right to left", func(s *Scenario) { s.Shunts.Ductal = Crossing{9, 9} }},
		{"atrium of nothing", "what chambers hold", func(s *Scenario) { s.Heart.RightAtriumML = 1e-4 }},
		{"a hand too fast", "the injection presses", func(s *Scenario) { s.Injection.VolumeML, s.Injection.DurationS = 30, 0.5 }},
		{"more samples than fit", "at most 1000000 are taken", func(s *Scenario) { s.StepS = 1e-6 }},
		{"a record of half a day", "at most 1000000 are taken", func(s *Scenario) { s.AfterS = 30000 }},
	} {
		s := infant()
		c.spoil(&s)
		if run, err := (Parcels{}).Run(s); err == nil || !strings.Contains(err.Error(), c.want) || run.Arterial != nil {
			t.Errorf("%s: %v, %d samples; want a refusal that says %q", c.name, err, len(run.Arterial), c.want)
		}
	}
}

func TestParcelsTakeWhomeverThePopulationDraws(t *testing.T) {
	for _, shunt := range Shuntings() {
		for seed := range uint64(200) {
			s := Population{Wide: seed%2 == 0, Shunt: shunt}.Draw(seed)
			if err := s.Check(); err != nil {
				t.Fatalf("%s, seed %d: %v", shunt, seed, err)
			}
			given := newSyringe(s)
			state, err := newCourse(s, given)
			if err != nil {
				t.Fatalf("%s, seed %d: %v", shunt, seed, err)
			}
			flow, err := state.span(s, given)
			if err != nil {
				t.Fatalf("%s, seed %d: %v", shunt, seed, err)
			}
			p, err := newParcelled(s, flow)
			if err != nil {
				t.Fatalf("%s, seed %d: %v", shunt, seed, err)
			}
			if p.longestStepS(flow) < courseStepS/4 {
				t.Errorf("%s, seed %d: steps of %g s are needed", shunt, seed, p.longestStepS(flow))
			}
		}
	}
}

// TestNobodyIsTooOddForParcels distorts scenarios far beyond people: each is refused, or
// runs with all its indicator and gives numbers only.
func TestNobodyIsTooOddForParcels(t *testing.T) {
	r, ran := rand.New(rand.NewPCG(1, 2)), 0
	odd := func(x *float64) {
		if r.IntN(10) == 0 {
			*x *= math.Exp(6 * (2*r.Float64() - 1))
		}
	}
	for i := range 300 {
		s := Population{Wide: i%2 == 0}.Draw(uint64(i))
		h, l, j := &s.Heart, &s.Loop, &s.Injection
		for _, x := range []*float64{
			&s.FlowMLs, &s.HeartRatePerMin, &s.BloodML, &s.LungML, &s.CavalML, &s.AortaML,
			&h.RightAtriumML, &h.RightVentricleML, &h.LeftAtriumML, &h.LeftVentricleML, &h.EjectionFraction,
			&l.FlowMLs, &l.ArteryToSensorML, &l.SensorToPortML, &l.PortToSensorML, &l.SensorToVeinML,
			&j.VolumeML, &j.DurationS, &s.State.BreathingShare, &s.State.DriftPerMin,
		} {
			odd(x)
		}
		s.Leaks = Leaks{0.8 * r.Float64(), 0.8 * r.Float64(), 0.8 * r.Float64(), 0.8 * r.Float64()}
		for _, c := range []*Crossing{&s.Shunts.Atrial, &s.Shunts.Ventricular, &s.Shunts.Ductal} {
			*c = Crossing{2 * s.FlowMLs * r.Float64(), 0.6 * s.FlowMLs * r.Float64()}
		}
		s.Streaming, s.State.Irregularity = r.Float64(), 0.5*r.Float64()
		s.BaselineS, s.AfterS = 0, 4
		run, err := Parcels{}.Run(s)
		if err != nil {
			continue
		}
		ran++
		if !(run.Truth.ResidualML < 1e-9) || !(run.Truth.PulmonaryMLs > 0 || highest(run.Arterial) == 0) {
			t.Errorf("scenario %d: mass is off by %g, lungs carry %g mL/s\n%+v", i, run.Truth.ResidualML, run.Truth.PulmonaryMLs, s)
		}
		for k := range run.Arterial {
			if !(run.Arterial[k] >= -1e-12 && run.Arterial[k] <= 1+1e-9 && run.Venous[k] >= -1e-12 && run.Venous[k] <= 1+1e-9) {
				t.Errorf("scenario %d: sample %d is %g, %g\n%+v", i, k, run.Arterial[k], run.Venous[k], s)
				break
			}
		}
	}
	if ran < 20 {
		t.Errorf("only %d of 300 ran", ran)
	}
}

func TestAnInjectionFasterThanTheVeinsGiveStillFlows(t *testing.T) {
	s := infant()
	s.Injection.VolumeML, s.Injection.DurationS = 10, 0.5
	run, err := Parcels{}.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	if run.Truth.ResidualML > 1e-9 || highest(run.Arterial) <= 0 {
		t.Errorf("mass is off by %g, peak %g", run.Truth.ResidualML, highest(run.Arterial))
	}
}

func TestEachStructureOfParcelsCanBeTakenAway(t *testing.T) {
	s := restless(1)
	s.Shunts.Ventricular.LeftToRight = 5
	whole, err := Parcels{}.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	peak, seen := highest(whole.Arterial), map[string]bool{}
	all := Parcels{}
	for _, structure := range Structures() {
		all = all.Without(structure)
		less, err := Parcels{}.Without(structure).Run(s)
		if err != nil {
			t.Fatalf("without %s: %v", structure, err)
		}
		if less.Truth.ResidualML > 1e-9 || math.Abs(less.Truth.CentralML/whole.Truth.CentralML-1) > 1e-9 {
			t.Errorf("without %s: mass is off by %g, central volume %g mL, was %g",
				structure, less.Truth.ResidualML, less.Truth.CentralML, whole.Truth.CentralML)
		}
		most := 0.0
		for i := range less.Arterial {
			most = max(most, math.Abs(less.Arterial[i]-whole.Arterial[i]))
		}
		if most < 0.002*peak {
			t.Errorf("without %s the curve changes by %g of its peak only", structure, most/peak)
		}
		if name := structure.String(); name == "" || seen[name] {
			t.Errorf("structure %d is called %q", structure, name)
		} else {
			seen[name] = true
		}
	}
	if (all == Parcels{}) || (Parcels{}.Without(Beats) == all) {
		t.Error("structures taken away do not add up")
	}
	if _, err := all.Run(s); err != nil {
		t.Errorf("without all of them: %v", err)
	}
}

func TestLawsOfTransitHaveTheirMean(t *testing.T) {
	laws := map[string]transitLaw{
		"log-normal":       logNormalLaw(0.5, 8),
		"wide log-normal":  logNormalLaw(1.2, 12),
		"laminar in part":  laminarLaw(0.7, 14),
		"laminar":          laminarLaw(1, 14),
		"plug":             laminarLaw(0, 14),
		"zones of lungs":   beside([]transitLaw{logNormalLaw(0.3, 12), logNormalLaw(0.4, 12), logNormalLaw(0.5, 12)}, []float64{1, 2, 0.5}, []float64{0.5, 1, 2}),
		"a single strand":  logNormalLaw(0.5, 1),
		"a single laminar": laminarLaw(0.5, 1),
	}
	for name, law := range laws {
		share, mean := 0.0, 0.0
		for _, part := range law {
			share += part.share
			mean += part.share * part.transit
			if !(part.share > 0 && part.transit > 0) {
				t.Errorf("%s: a strand takes %g of the flow for %g of the mean", name, part.share, part.transit)
			}
		}
		if math.Abs(share-1) > 1e-12 || math.Abs(mean-1) > 1e-12 {
			t.Errorf("%s: shares add up to %g, mean %g", name, share, mean)
		}
	}
	// Variance exp(spread^2) - 1 of the log-normal law with mean 1; the strands lack what
	// is spread inside each.
	square := 0.0
	for _, part := range logNormalLaw(0.4, 4000) {
		square += part.share * part.transit * part.transit
	}
	if want := math.Exp(0.16); math.Abs(square/want-1) > 1e-3 {
		t.Errorf("second moment of the log-normal law is %g, want %g", square, want)
	}
	// In a laminar tube 1 - 1/(4 t^2) has left by t times the mean transit, from half of
	// it on.
	left := 0.0
	for _, part := range laminarLaw(1, 4000) {
		if part.transit <= 0.8 {
			left += part.share
		}
	}
	if want := 1 - 1/(4*0.8*0.8); math.Abs(left-want) > 1e-3 {
		t.Errorf("by 0.8 of the mean %g has left a laminar tube, want %g", left, want)
	}
}

func TestTheOrgansShareTheFlowAndTheirTransitsSpanTheRange(t *testing.T) {
	shortest, longest, flow := math.Inf(1), 0.0, 0.0
	for _, o := range organTable() {
		shortest, longest = min(shortest, o.transit), max(longest, o.transit)
		flow += o.flow
	}
	if shortest != 0.2 || longest != 2.2 || math.Abs(flow-102.55) > 1e-9 {
		t.Errorf("transits from %g to %g, flows add up to %g", shortest, longest, flow)
	}
	s := infant()
	var ledgers [arteries]*ledger
	for i := range ledgers {
		ledgers[i] = new(ledger)
	}
	share, blood := 0.0, 0.0
	for _, o := range drawTissues(newDraw(s, streamParcels), s, 180, ledgers) {
		share += o.share
		blood += o.share * o.vessels.volumeML()
	}
	if math.Abs(share-1) > 1e-12 || math.Abs(blood-180) > 1e-9 {
		t.Errorf("shares add up to %g, blood to %g mL, want 180", share, blood)
	}
}

func BenchmarkParcels(b *testing.B) {
	s := restless(1)
	s.BaselineS, s.AfterS = 60, 90
	for b.Loop() {
		if _, err := (Parcels{}).Run(s); err != nil {
			b.Fatal(err)
		}
	}
}
