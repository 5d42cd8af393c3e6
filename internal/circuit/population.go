package circuit

import "math"

// Population says from whom scenarios are drawn. The zero value takes everybody: all
// sizes alike, all shunts alike.
//
// Sizes follow published means where there are any (each beside its table); how far
// people differ from them, and all that has no source here, is common practice.
type Population struct {
	// Wide draws from ranges 1.5 times wider, and other people for the same seed: for
	// tuning, never for evaluation.
	Wide  bool
	Class WeightClass
	Shunt Shunting
}

// WeightClass is a part of the weights from 0.7 kg preterm to 120 kg adult.
type WeightClass int

// Weight classes.
const (
	AnyWeight WeightClass = iota
	Under1500g
	To5kg
	To30kg
	Over30kg
)

var weightClasses = [...]struct {
	words     string
	low, high float64 // kg
}{
	AnyWeight:  {"all", 0.7, 120},
	Under1500g: {"< 1.5 kg", 0.7, 1.5},
	To5kg:      {"1.5-5 kg", 1.5, 5},
	To30kg:     {"5-30 kg", 5, 30},
	Over30kg:   {"> 30 kg", 30, 120},
}

func (c WeightClass) String() string { return weightClasses[c].words }

// WeightClasses gives the four classes that tables are split by.
func WeightClasses() []WeightClass { return []WeightClass{Under1500g, To5kg, To30kg, Over30kg} }

// ClassOf gives the class of a weight in kg.
func ClassOf(weightKg float64) WeightClass {
	for _, c := range WeightClasses() {
		if weightKg < weightClasses[c].high {
			return c
		}
	}
	return Over30kg
}

// Shunting is which communications are open, and which way.
type Shunting int

// Shunts that are drawn.
const (
	AnyShunting Shunting = iota
	NoShunt
	AtrialLeftToRight
	VentricularLeftToRight
	DuctalLeftToRight
	AtrialRightToLeft
	VentricularRightToLeft
	DuctalRightToLeft
	BothWays // one level left to right, the same or another right to left
)

var shuntings = [...]string{
	AnyShunting:            "any",
	NoShunt:                "none",
	AtrialLeftToRight:      "atrial left to right",
	VentricularLeftToRight: "ventricular left to right",
	DuctalLeftToRight:      "ductal left to right",
	AtrialRightToLeft:      "atrial right to left",
	VentricularRightToLeft: "ventricular right to left",
	DuctalRightToLeft:      "ductal right to left",
	BothWays:               "both ways",
}

func (s Shunting) String() string { return shuntings[s] }

// LeftToRight tells whether blood crosses from left to right only.
func (s Shunting) LeftToRight() bool { return s >= AtrialLeftToRight && s <= DuctalLeftToRight }

// RightToLeft tells whether blood crosses from right to left only.
func (s Shunting) RightToLeft() bool { return s >= AtrialRightToLeft && s <= DuctalRightToLeft }

// Shuntings gives all that are drawn.
func Shuntings() []Shunting {
	return []Shunting{NoShunt, AtrialLeftToRight, VentricularLeftToRight, DuctalLeftToRight,
		AtrialRightToLeft, VentricularRightToLeft, DuctalRightToLeft, BothWays}
}

const wideStretch = 1.5

// flowPerKg is normal systemic flow, mL/kg/min, by weight in kg. Newborns: 265, 253 and
// 241 below 1.5, to 2.5 and above 2.5 kg (Walther et al., Pediatrics 1985, abstract;
// names from memory). Adults about 75: common practice, no source. Between them a power
// of the weight.
func flowPerKg(weightKg float64) float64 {
	if weightKg < 3.5 {
		return along([][2]float64{{1.2, 265}, {2, 253}, {3.5, 241}}, weightKg)
	}
	return 241 * math.Pow(weightKg/3.5, math.Log(75.0/241)/math.Log(70/3.5))
}

// bloodPerKg is mL/kg by weight. Preterm 95 and adult 67: University of Iowa protocol
// page (Roseff 2002, Strauss 2008). The others: Linderkamp et al. 1977, table 1, by the
// usual weight of the age.
var bloodPerKg = [][2]float64{{1, 95}, {2.5, 88}, {3.5, 83}, {6, 78}, {10, 82}, {17, 77}, {28, 76}, {42, 71}, {70, 67}}

// ratePerMin is a usual heart rate by weight (common practice, no source).
func ratePerMin(weightKg float64) float64 {
	return 148 * math.Pow(max(weightKg, 4)/4, -0.25)
}

// Draw gives the scenario of a seed.
func (p Population) Draw(seed uint64) Scenario {
	d := newDraw(Scenario{Seed: seed}, streamPeople)
	if p.Wide {
		d = newDraw(Scenario{Seed: seed}, streamWidePeople)
		d.widen = wideStretch
	}
	s := Scenario{Seed: d.Uint64(), Wide: p.Wide}
	class := p.Class
	if class == AnyWeight {
		class = WeightClasses()[d.IntN(4)]
	}
	shunt := p.Shunt
	if shunt == AnyShunting {
		shunt = Shuntings()[d.IntN(len(shuntings)-1)]
	}
	low, high := math.Log(weightClasses[class].low), math.Log(weightClasses[class].high)
	s.WeightKg = math.Exp(low + (high-low)*d.Float64())
	s.HeartRatePerMin = ratePerMin(s.WeightKg) * d.between(0.75, 1.3)
	normal := flowPerKg(s.WeightKg) * s.WeightKg / 60
	s.FlowMLs = normal * d.between(0.4, 2)
	s.BloodML = along(bloodPerKg, s.WeightKg) * s.WeightKg * d.between(0.85, 1.18)
	s.Shunts = drawShunts(d.asked(), shunt, s.FlowMLs)
	s.Postductal = d.chance(0.5)
	drawVolumes(d, &s, normal)
	s.Streaming = d.even(0, 0.3, 0)
	drawLoop(d, &s)
	drawInjection(d, &s)
	s.State = State{
		BreathingShare: d.even(0, 0.05, 0), BreathsPerMin: d.between(20, 60),
		Irregularity: d.even(0, 0.03, 0), DriftPerMin: d.even(-0.02, 0.02, -1),
	}
	s.BaselineS, s.AfterS = d.asked().between(8, 60), d.asked().between(75, 90)
	return s
}

// even is uniform; a wide draw stretches the range, but not below least.
func (d draw) even(low, high, least float64) float64 {
	middle, half := (low+high)/2, (high-low)/2*d.widen
	return max(least, middle+half*(2*d.Float64()-1))
}

// asked draws from the same stream and is not widened: what was done, and what the
// answer is judged by.
func (d draw) asked() draw { return draw{Rand: d.Rand, widen: 1} }

// chance is true in that part of cases.
func (d draw) chance(part float64) bool { return d.Float64() < part }

// along reads a table of (x, y), x rising, on straight lines; beyond its ends the end.
func along(table [][2]float64, x float64) float64 {
	if x <= table[0][0] {
		return table[0][1]
	}
	for i := 1; i < len(table); i++ {
		if a, b := table[i-1], table[i]; x <= b[0] {
			return a[1] + (b[1]-a[1])*(x-a[0])/(b[0]-a[0])
		}
	}
	return table[len(table)-1][1]
}

// drawShunts takes Qp/Qs from 1.2 to 3, and right to left 10 to 40 % of the systemic
// flow; both ways somewhat less of each.
func drawShunts(d draw, shunt Shunting, flow float64) (s Shunts) {
	left, right := flow*(d.between(1.2, 3)-1), flow*d.even(0.1, 0.4, 0)
	levels := [3]*Crossing{&s.Atrial, &s.Ventricular, &s.Ductal}
	switch {
	case shunt.LeftToRight():
		levels[shunt-AtrialLeftToRight].LeftToRight = left
	case shunt.RightToLeft():
		levels[shunt-AtrialRightToLeft].RightToLeft = right
	case shunt == BothWays:
		levels[d.IntN(3)].LeftToRight = left / 2
		levels[d.IntN(3)].RightToLeft = right * 0.75
	}
	return s
}

// drawVolumes gives chambers and ways. What a ventricle throws out must be in it: the
// ejection fraction follows from its size and its work, held within what hearts do.
func drawVolumes(d draw, s *Scenario, normalFlow float64) {
	left, right := s.ejectedMLs()
	perBeat := 60 / s.HeartRatePerMin
	h := &s.Heart
	filled := normalFlow / ratePerMin(s.WeightKg) * 60 / 0.62 * d.between(0.8, 1.5)
	h.EjectionFraction = min(max(left*perBeat/filled, 0.25), 0.75)
	h.LeftVentricleML = left * perBeat / h.EjectionFraction
	h.RightVentricleML = right * perBeat / h.EjectionFraction
	h.LeftAtriumML = h.LeftVentricleML * d.between(0.5, 1)
	h.RightAtriumML = h.RightVentricleML * d.between(0.6, 1.1)
	// Lungs about a tenth of the blood; more where more flows through (common practice,
	// no source).
	s.LungML = s.BloodML * d.between(0.07, 0.13) * math.Sqrt(max(s.pulmonaryMLs()/s.FlowMLs, 0.6))
	s.CavalML = s.BloodML * d.between(0.006, 0.03)
	s.AortaML = s.BloodML * d.between(0.01, 0.045)
	// A large heart, as with a large shunt, leaves the body a third of the blood at least:
	// who has it has more blood (no source).
	central := h.LeftVentricleML + h.RightVentricleML + h.LeftAtriumML + h.RightAtriumML + s.LungML + s.CavalML + s.AortaML
	s.BloodML = max(s.BloodML, 1.5*central)
}

// ejectedMLs is what the two ventricles throw out in all, mL/s: the balance of flows.
func (s Scenario) ejectedMLs() (left, right float64) {
	a, v, d := s.Shunts.Atrial, s.Shunts.Ventricular, s.Shunts.Ductal
	left = s.FlowMLs + d.LeftToRight - d.RightToLeft + v.LeftToRight
	right = s.FlowMLs + a.LeftToRight - a.RightToLeft + v.LeftToRight
	return left, right
}

// pulmonaryMLs is Qp at rest.
func (s Scenario) pulmonaryMLs() float64 {
	return s.FlowMLs + s.Shunts.Atrial.net() + s.Shunts.Ventricular.net() + s.Shunts.Ductal.net()
}

// drawLoop takes 5 to 40 mL/min in infants and up to some hundred in adults, as a rule 2
// to 10 % of the flow; tubes that are a few seconds long at that flow.
func drawLoop(d draw, s *Scenario) {
	perMin := d.between(5, 40) * math.Pow(max(s.WeightKg, 5)/5, 0.75)
	l := &s.Loop
	l.FlowMLs = min(max(perMin/60, 0.02*s.FlowMLs), 0.10*s.FlowMLs)
	tube := func(low, high, longestS float64) float64 {
		size := math.Pow(max(s.WeightKg, 5)/5, 0.5)
		return min(d.between(low, high)*size, longestS*l.FlowMLs)
	}
	l.ArteryToSensorML = tube(0.5, 1.6, 6)
	l.SensorToPortML = tube(0.8, 3, 15)
	l.PortToSensorML = tube(0.2, 0.8, 4)
	l.SensorToVeinML = tube(0.4, 1.6, 6)
}

// drawInjection takes 0.5 to 1 mL/kg up to 30 mL, by hand in 1 to 6 s, not faster than
// 8 mL/s nor than two fifths of the flow.
func drawInjection(d draw, s *Scenario) {
	const most, fastest, flowShare = 30, 8, 0.4
	i := &s.Injection
	i.VolumeML = min(d.between(0.5, 1)*s.WeightKg, most)
	i.DurationS = max(d.between(1, 6), i.VolumeML/min(fastest, flowShare*s.FlowMLs))
	i.RampShare = min(d.even(0.05, 0.3, 0.02), 0.45)
	i.TailShare = min(d.even(0.05, 0.4, 0.02), 0.45)
	i.Unevenness = d.even(0, 0.15, 0)
	i.RaisesFlow = true
}
