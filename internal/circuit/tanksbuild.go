package circuit

import (
	"fmt"
	"math"
)

// newTanks draws and sizes a network for the scenario, and sets it to time 0.
func newTanks(s Scenario, given *syringe, c *course, lacks lacking) (*tanks, error) {
	p, err := newPlan(s)
	if err != nil {
		return nil, err
	}
	p.takeAway(lacks)
	t := &tanks{plan: p, tip: aorticArch}
	if s.Postductal {
		t.tip = descendingAorta
	}
	t.net = network{
		massML: make([]float64, places), volumeML: make([]float64, places),
		concentration: make([]float64, places), junctions: int(places),
	}
	beats := newPulse(s.HeartRatePerMin)
	if lacks[Beats] {
		beats.beating = [valves]float64{}
	}
	t.clock = newClock(beats, c, 60/s.HeartRatePerMin)
	t.shareHold(given.highestMLs())
	t.layLoop(given.highestMLs())
	t.layTrunk()
	t.layBody()
	t.joinHeart()
	t.joinShunts()
	t.joinLeaks()
	t.size()
	if err := t.fillBody(); err != nil {
		return nil, err
	}
	t.transitS = t.transit()
	var m moved
	t.clock.advance(0, &m)
	t.net.step(&m, 0)
	return t, nil
}

// lay appends a chain that flows into a place. It has as many tanks as wanted, or as
// many as a step of 5 ms lets it have at its flow.
func (t *tanks) lay(name string, tanks int, volumeML, flowMLs float64, to junction) int {
	most := largestPart * volumeML / (0.005 * flowMLs)
	i := t.net.addChain(int(max(1, min(float64(tanks), most))), volumeML)
	t.net.chains[i].to = int(to)
	t.chainNames = append(t.chainNames, name)
	return i
}

// follow lets a chain flow into another.
func (t *tanks) follow(chain, next int) {
	t.net.chains[chain].to, t.net.chains[chain].next = t.net.chains[next].first, next
}

// layLoop lays the loop in its sections, with the port as a tank of its own, and the
// caval vein into which it returns.
func (t *tanks) layLoop(rateMLs float64) {
	l, n := t.Loop, t.tubeTanks
	fast := l.FlowMLs + rateMLs
	t.artery = t.lay("the loop from artery to sensor", n, l.ArteryToSensorML, l.FlowMLs, 0)
	toPort := t.lay("the loop from sensor to port", n, l.SensorToPortML, l.FlowMLs, 0)
	t.net.port = t.lay("the port", 1, t.portML, fast, 0)
	t.vein = t.lay("the loop from port to sensor", n, l.PortToSensorML-t.portML, fast, 0)
	toVein := t.lay("the loop from sensor to vein", n, l.SensorToVeinML, fast, 0)
	t.entry = t.lay("the caval vein of the catheter", 3, t.CavalML, t.caval*t.FlowMLs+fast, rightAtrium)
	for _, pair := range [][2]int{{t.artery, toPort}, {toPort, t.net.port}, {t.net.port, t.vein}, {t.vein, toVein}, {toVein, t.entry}} {
		t.follow(pair[0], pair[1])
	}
	t.link(link{from: int(t.tip), loopMLs: l.FlowMLs}, t.artery)
}

// layTrunk lays the other caval vein, the lungs and the aorta.
func (t *tanks) layTrunk() {
	qs, loop, body, b := t.FlowMLs, t.Loop.FlowMLs, t.FlowMLs-t.Loop.FlowMLs, t.balance
	upper, coronary := t.organs[1].share, t.organs[0].share
	other := t.lay("the other caval vein", 3, t.otherCavalML, qs, rightAtrium)
	catheter, free := upperVeins, lowerVeins
	if t.lowerCatheter {
		catheter, free = free, catheter
	}
	// The veins hold back what is injected.
	t.link(link{from: int(catheter), steadyMLs: t.caval * qs, loopMLs: -t.caval * loop, injectedPart: -t.held}, t.entry)
	t.link(link{from: int(free), steadyMLs: (1 - coronary - t.caval) * qs, loopMLs: -(1 - coronary - t.caval) * loop, injectedPart: t.held - 1}, other)

	quickS, slowS := t.lungs()
	quickMLs, slowMLs := t.quickShare*b.lungs, (1-t.quickShare)*b.lungs
	quick := t.lay("the quicker way through the lungs", t.quickTanks, quickS*quickMLs, quickMLs, leftAtrium)
	slow := t.lay("the slower way through the lungs", t.slowTanks, slowS*slowMLs, slowMLs, leftAtrium)
	t.link(link{from: int(pulmonaryArtery), steadyMLs: quickMLs}, quick)
	t.link(link{from: int(pulmonaryArtery), steadyMLs: slowMLs}, slow)

	arch := t.lay("the arch of the aorta", 4, t.archML, b.aorticValve, aorticArch)
	down := t.lay("the descending aorta", 4, t.descendingML, body, descendingAorta)
	t.link(link{from: int(aorticRoot), steadyMLs: b.aorticValve - coronary*qs, loopMLs: coronary * loop}, arch)
	// What the arch gives on: all but coronary and upper flow, and the loop if it starts
	// there.
	beyond := link{from: int(aorticArch), to: int(isthmus), chain: -1,
		steadyMLs: b.aorticValve - (coronary+upper)*qs, loopMLs: (coronary + upper) * loop}
	below := link{from: int(isthmus), steadyMLs: (1 - coronary - upper) * qs, loopMLs: -(1 - coronary - upper) * loop}
	if t.Postductal {
		below.loopMLs += loop
	} else {
		beyond.loopMLs -= loop
	}
	t.net.links = append(t.net.links, beyond)
	t.link(below, down)
}

// layBody lays the organs. Their volumes are known last.
func (t *tanks) layBody() {
	t.firstOrgan = len(t.net.chains)
	for _, o := range t.organs {
		flow := o.share * t.FlowMLs
		chain := t.lay(o.name, o.tanks, math.Inf(1), flow, o.to)
		t.link(link{from: int(o.from), steadyMLs: flow, loopMLs: -o.share * t.Loop.FlowMLs}, chain)
	}
}

// link leads into a chain.
func (t *tanks) link(l link, chain int) {
	l.chain, l.to = chain, t.net.chains[chain].first
	t.net.links = append(t.net.links, l)
}

// fillBody gives the organs and the great veins what is left of the blood, each organ
// by its flow and its slowness.
func (t *tanks) fillBody() error {
	left := t.BloodML
	for j := range places {
		left -= t.meanML[j]
	}
	organs := t.net.chains[t.firstOrgan:]
	for _, c := range t.net.chains[t.entry:t.firstOrgan] {
		left -= c.volumeML()
	}
	if left < 0.15*t.BloodML {
		return fmt.Errorf("heart, lungs and great vessels hold %.4g of %.4g mL of blood; at least 0.15 of it has to be in the body", t.BloodML-left, t.BloodML)
	}
	veins, weight := t.venousShare*left, 0.0
	for _, o := range t.organs {
		weight += o.share * o.slowness
	}
	upper := t.organs[1].share / (1 - t.organs[0].share)
	t.set(upperVeins, upper*veins)
	t.set(lowerVeins, (1-upper)*veins)
	for i, o := range t.organs {
		c := &organs[i]
		volumeML := (left - veins) * o.share * o.slowness / weight
		c.tankML = volumeML / float64(c.last-c.first+1)
		for k := c.first; k <= c.last; k++ {
			t.net.volumeML[k] = c.tankML
		}
		if o.exchanges {
			t.addTissue((c.first+c.last)/2, volumeML)
		}
	}
	return nil
}

// addTissue lets the indicator of a tank go to the water around an organ.
func (t *tanks) addTissue(tank int, bloodML float64) {
	t.net.exchanges = append(t.net.exchanges, exchange{tank: tank, tissue: len(t.net.massML), flowMLs: t.tissuePerS * bloodML})
	t.net.massML = append(t.net.massML, 0)
	t.net.volumeML = append(t.net.volumeML, t.tissue*bloodML)
}

// shareHold shares out how much of the injected volume each of the two caval veins holds
// back: by their flows, but never so much that the other one flows back. The one with
// the catheter may: blood gives way upstream where more is injected than the vein brings.
// It takes no indicator along, so that a hand above the whole flow puts more indicator
// into that vein than fits, for a moment. No sensor sees it, and area and mass are right.
func (t *tanks) shareHold(rateMLs float64) {
	lowest := math.Inf(1)
	for _, f := range t.clock.factors {
		lowest = min(lowest, f)
	}
	venous := 1 - t.organs[0].share
	other := (venous - t.caval) * (lowest*t.FlowMLs - t.Loop.FlowMLs)
	t.held = 1 - min((venous-t.caval)/venous, 0.9*other/rateMLs)
}
