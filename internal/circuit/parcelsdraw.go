package circuit

import (
	"fmt"
	"math"
)

// Numbers of strands that stand for a law of transit.
const (
	strandsOfAZone  = 12
	layersOfAVessel = 8
	layersOfATube   = 14
)

// parcelled is the state of a run of Parcels.
type parcelled struct {
	rest restingFlows
	// heart from right to left; trunk and bulb are the mixed starts of pulmonary artery
	// and aorta.
	rightAtrium, rightVentricle, trunk, leftAtrium, leftVentricle, bulb chamber
	// lungs; aorta from its bulb to where the duct joins; tip from there to the arterial
	// catheter; cava from the venous catheter to the right atrium.
	lungs, aorta, tip, cava *way
	// loop has its sections from artery to vein.
	loop [4]*way
	// toOrgans have volume and indicator that all organs together took.
	toOrgans [arteries]*ledger
	organs   []tissue
	// catheter is the cava in which the venous catheter lies.
	catheter vein
	// foramenStream is the part of the atrial flow from right to left that comes
	// unmixed from the lower cava.
	foramenStream, streaming float64
}

// newParcelled draws what the scenario leaves open. The span is that of the flow in the
// run. Ranges of mixing, zones, layers and spreads: ours, no source; those of tubes are
// near the parabola, since at their size and speed flow is laminar.
func newParcelled(s Scenario, flow span) (*parcelled, error) {
	d := newDraw(s, streamParcels)
	p := &parcelled{streaming: s.Streaming, foramenStream: d.share(0.1, 0.6) - 0.01}
	if d.Float64() < 0.4 {
		p.catheter = lowerCava
	}
	for i := range p.toOrgans {
		p.toOrgans[i] = new(ledger)
	}
	heartML := p.drawHeart(d, s)
	bodyML := s.BloodML - s.LungML - s.CavalML - s.AortaML - heartML
	if bodyML < 0.15*s.BloodML {
		return nil, fmt.Errorf("heart, lungs and great vessels take all but %.4g of %.4g mL of blood; at least 0.15 of it has to be in the body", bodyML, s.BloodML)
	}
	p.organs = drawTissues(d, s, bodyML, p.toOrgans)
	var err error
	if p.rest, err = newRestingFlows(s, p.organs, flow); err != nil {
		return nil, err
	}
	p.drawVessels(d, s)
	return p, nil
}

// drawHeart makes the chambers. A ventricle has the stated volume, or as much as it
// needs to throw out what it has to, shunts and leaks in it, with the stated ejection
// fraction. It gives the volume of the heart.
func (p *parcelled) drawHeart(d draw, s Scenario) (volumeML float64) {
	b, _ := newBalance(s) // Check has asked
	perBeat := 60 / s.HeartRatePerMin / s.Heart.EjectionFraction
	right := b.tricuspid/(1-s.Leaks.Tricuspid) + s.Shunts.Ventricular.LeftToRight + leakBack(b.pulmonaryValve, s.Leaks.Pulmonary)
	left := b.mitral/(1-s.Leaks.Mitral) + s.Shunts.Ventricular.RightToLeft + leakBack(b.aorticValve, s.Leaks.Aortic)
	trunkML, bulbML := s.LungML*d.share(0.06, 0.14), s.AortaML*d.share(0.15, 0.35)
	bulbML = min(max(bulbML, b.aorticValve*0.05), s.AortaML/2)
	for _, c := range []struct {
		chamber         *chamber
		ml, flowMLs     float64
		shortcut, aside [2]float64
		beats, inHeart  bool
	}{
		{&p.rightAtrium, s.Heart.RightAtriumML, b.tricuspid, [2]float64{0.05, 0.3}, [2]float64{0.05, 0.25}, false, true},
		{&p.rightVentricle, max(s.Heart.RightVentricleML, right*perBeat), right, [2]float64{0.02, 0.12}, [2]float64{0.03, 0.15}, true, true},
		{&p.trunk, trunkML, b.lungs, [2]float64{0.05, 0.3}, [2]float64{0.02, 0.1}, false, false},
		{&p.leftAtrium, s.Heart.LeftAtriumML, b.mitral, [2]float64{0.05, 0.3}, [2]float64{0.05, 0.3}, false, true},
		{&p.leftVentricle, max(s.Heart.LeftVentricleML, left*perBeat), left, [2]float64{0.02, 0.12}, [2]float64{0.03, 0.15}, true, true},
		{&p.bulb, bulbML, b.aorticValve, [2]float64{0.1, 0.4}, [2]float64{0.02, 0.1}, false, false},
	} {
		shortcut, aside := d.share(c.shortcut[0], c.shortcut[1]), d.share(c.aside[0], c.aside[1])
		*c.chamber = chamber{
			shortcut: min(shortcut, 0.5), beats: c.beats,
			stirredML: c.ml * (1 - aside), asideML: c.ml * aside,
			exchangePerS: c.flowMLs / c.ml / d.between(1, 4),
		}
		if c.inHeart {
			volumeML += c.ml
		}
	}
	return volumeML
}

// drawVessels makes lungs, great vessels and tubes of what trunk and bulb leave.
func (p *parcelled) drawVessels(d draw, s Scenario) {
	zones := 3 + d.IntN(2)
	var laws []transitLaw
	var share, slower []float64
	for i := range zones {
		laws = append(laws, logNormalLaw(d.between(0.22, 0.5), strandsOfAZone))
		share = append(share, d.between(0.6, 1.6))
		slower = append(slower, (0.55+0.9*float64(i)/float64(zones-1))*d.between(0.8, 1.25))
	}
	p.lungs = newWay(new(ledger), s.LungML-p.trunk.volumeML(), beside(laws, share, slower))

	vessel := laminarLaw(d.share(0.25, 0.6), layersOfAVessel)
	left := s.AortaML - p.bulb.volumeML()
	toDuct := left * d.share(0.45, 0.75)
	p.aorta = newWay(new(ledger), toDuct, vessel)
	p.tip = newWay(new(ledger), left-toDuct, vessel)
	p.cava = newWay(new(ledger), s.CavalML, vessel)

	tube := laminarLaw(d.share(0.55, 0.95), layersOfATube)
	for i, ml := range []float64{s.Loop.ArteryToSensorML, s.Loop.SensorToPortML, s.Loop.PortToSensorML, s.Loop.SensorToVeinML} {
		p.loop[i] = newWay(new(ledger), ml, tube)
	}
}

// longestStepS is the longest step of time in which no chamber gives more than half of
// what it stirs, at the highest factor on the flow.
func (p *parcelled) longestStepS(flow span) float64 {
	r, longest := p.rest, math.Inf(1)
	for _, c := range []struct {
		chamber *chamber
		flowMLs float64
	}{
		{&p.rightAtrium, r.tricuspid + r.atrial.RightToLeft},
		{&p.rightVentricle, r.rightVentricle()},
		{&p.trunk, r.pulmonary + r.ductal.LeftToRight},
		{&p.leftAtrium, r.lungs + r.atrial.RightToLeft + r.mitralLeak},
		{&p.leftVentricle, r.leftVentricle()},
		{&p.bulb, r.aortic},
	} {
		longest = min(longest, c.chamber.stirredML/c.flowMLs/2/flow.highest)
	}
	return longest
}

// reserve makes room for so many steps.
func (p *parcelled) reserve(steps int) {
	for _, l := range p.toOrgans {
		l.reserve(steps)
	}
	for _, w := range p.ways() {
		w.entered.reserve(steps)
	}
}

// chambers and ways are all that holds indicator but the organs.
func (p *parcelled) chambers() [6]*chamber {
	return [...]*chamber{&p.rightAtrium, &p.rightVentricle, &p.trunk, &p.leftAtrium, &p.leftVentricle, &p.bulb}
}

func (p *parcelled) ways() [8]*way {
	return [...]*way{p.lungs, p.aorta, p.tip, p.cava, p.loop[0], p.loop[1], p.loop[2], p.loop[3]}
}
