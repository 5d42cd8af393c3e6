package circuit

import (
	"fmt"
	"math"
)

// junction is a place of Tanks: a tank with more than one way in or out, whose volume
// may change.
type junction int

const (
	rightAtrium junction = iota
	// atrialStream is the part of the right atrium through which a caval stream goes
	// without mixing.
	atrialStream
	rightVentricle
	pulmonaryArtery
	leftAtrium
	leftVentricle
	aorticRoot
	aorticArch
	isthmus // where the duct joins
	descendingAorta
	upperVeins
	lowerVeins
	places
)

// String names a place for messages.
func (p junction) String() string {
	return [places]string{
		"the right atrium", "the stream in the right atrium", "the right ventricle", "the pulmonary artery",
		"the left atrium", "the left ventricle", "the root of the aorta", "the arch of the aorta",
		"the isthmus of the aorta", "the descending aorta", "the upper veins", "the lower veins",
	}[p]
}

// tanks is a network that was drawn for one scenario.
type tanks struct {
	*plan
	net   network
	clock *clock
	// smallestML is the volume of each junction when it is emptiest, meanML its mean over
	// a beat of mean length.
	smallestML, meanML [places]float64
	// restingMLs is the flow of each chain at rest.
	restingMLs []float64
	chainNames []string
	// tip is where the arterial catheter ends; artery and vein are the chains that end at
	// the two sensors, entry the one that starts at the tip of the venous catheter.
	tip                             junction
	artery, vein, entry, firstOrgan int
	// streamAcross is what the caval stream gives to the left atrium, mL/s.
	streamAcross float64
	// held is the part of the injected volume that the vein of the catheter holds back.
	held     float64
	transitS float64
}

// bed is one way through the body.
type bed struct {
	name      string
	from, to  junction
	share     float64 // of the flow of the body, loop not counted
	slowness  float64 // relative transit time
	tanks     int
	exchanges bool // indicator leaves to its tissue
}

// plan is what is drawn for one scenario beside its numbers. The ranges are common
// practice, no source: textbook shares of flow and of blood, wide enough to differ.
type plan struct {
	Scenario
	draw    draw
	organs  []bed
	balance balance
	// lowerCatheter tells that the venous catheter lies in the lower caval vein.
	lowerCatheter bool
	// caval is the share of the body's flow that returns through that vein.
	caval float64
	// otherCavalML is the volume of the other caval vein.
	otherCavalML float64
	// The parts of the aorta from the heart on.
	rootML, archML, archEndML, isthmusML, descendingML, lowerML float64
	// pulmonaryML is the volume of the pulmonary arteries; quickShare of the flow of the
	// lungs takes the quicker way, which the slower way takes slowness times as long for.
	pulmonaryML, quickShare, slowness float64
	quickTanks, slowTanks             int
	// portML is the part of the loop in which the indicator mixes as it enters.
	portML    float64
	tubeTanks int
	// tissuePerS is the part of the blood of an organ whose indicator goes to its tissue
	// in a second, tissueML its room as a multiple of the blood.
	tissuePerS, tissue float64
	// venousShare is the part of the body's blood that the great veins hold.
	venousShare float64
}

// newPlan draws.
func newPlan(s Scenario) (*plan, error) {
	b, err := newBalance(s)
	if err != nil {
		return nil, err
	}
	d := newDraw(s, streamTanks)
	p := &plan{
		Scenario: s, draw: d, balance: b,
		lowerCatheter: d.IntN(2) == 0,
		otherCavalML:  s.CavalML * d.between(0.6, 1.5),
		pulmonaryML:   s.LungML * d.share(0.14, 0.22),
		quickShare:    d.share(0.5, 0.75),
		slowness:      d.between(1.3, 2.1),
		quickTanks:    d.count(5, 9), slowTanks: d.count(4, 7),
		portML: s.Loop.PortToSensorML * d.share(0.1, 0.25), tubeTanks: d.count(12, 36),
		tissuePerS: d.between(0.05, 0.25) / 60, tissue: d.between(1.5, 3),
		venousShare: d.share(0.1, 0.25),
	}
	p.drawAorta()
	return p, p.drawOrgans()
}

// drawAorta shares the aortic volume out.
func (p *plan) drawAorta() {
	root := p.draw.share(0.3, 0.45)
	if p.Postductal {
		rest := p.AortaML * (1 - root)
		p.rootML, p.archML, p.archEndML, p.isthmusML = p.AortaML*root, 0.3*rest, 0.15*rest, 0.1*rest
		p.descendingML, p.lowerML = 0.3*rest, 0.15*rest
		return
	}
	p.rootML, p.archML, p.archEndML = p.AortaML*root, p.AortaML*(1-root)*0.7, p.AortaML*(1-root)*0.3
	beyond := p.AortaML * p.draw.between(0.6, 1.2)
	p.isthmusML, p.descendingML, p.lowerML = 0.15*beyond, 0.6*beyond, 0.25*beyond
}

// drawOrgans shares the flow of the body out. A small child's head takes more of it.
func (p *plan) drawOrgans() error {
	d := p.draw
	upper := d.share(0.2, 0.3)
	if p.WeightKg < 10 {
		upper = d.share(0.28, 0.42)
	}
	coronary := d.share(0.04, 0.06)
	// What the left heart gives to the arch is all that the arch can give on: of a duct
	// from right to left nothing flows back up.
	arch := p.balance.aorticValve - coronary*(p.FlowMLs-p.Loop.FlowMLs)
	if !p.Postductal {
		arch -= p.Loop.FlowMLs
	}
	if arch < 0.02*p.FlowMLs {
		return fmt.Errorf("the duct from right to left leaves %.4g mL/s for the upper body; at least %.4g is wanted", arch, 0.02*p.FlowMLs)
	}
	upper = min(upper, 0.85*arch/(p.FlowMLs-p.Loop.FlowMLs))
	kidneys, gut := d.between(0.17, 0.23), d.between(0.22, 0.3)
	lower := (1 - upper - coronary) / (kidneys + gut + 0.3)
	p.organs = []bed{
		{"the vessels of the heart muscle", aorticRoot, rightAtrium, coronary, d.between(0.18, 0.3), d.count(4, 8), false},
		{"the vessels of the upper body", aorticArch, upperVeins, upper, d.between(0.4, 0.7), d.count(5, 12), true},
		{"the vessels of the kidneys", descendingAorta, lowerVeins, kidneys * lower, d.between(0.3, 0.5), d.count(5, 12), true},
		{"the vessels of the gut", descendingAorta, lowerVeins, gut * lower, d.between(1, 1.6), d.count(4, 10), true},
		{"the vessels of the rest of the body", descendingAorta, lowerVeins, 0.3 * lower, d.between(1.5, 2.5), d.count(4, 10), true},
	}
	p.caval = upper
	if p.lowerCatheter {
		p.caval = 1 - upper - coronary
	}
	return nil
}

// lungs gives the transit times of the two ways, s, and their flows.
func (p *plan) lungs() (quickS, slowS float64) {
	capillariesML := p.LungML - p.pulmonaryML
	quickS = capillariesML / p.balance.lungs / (p.quickShare + (1-p.quickShare)*p.slowness)
	return quickS, quickS * p.slowness
}

// count gives a whole number from low to high.
func (d draw) count(low, high float64) int { return max(1, int(math.Round(d.between(low, high)))) }
