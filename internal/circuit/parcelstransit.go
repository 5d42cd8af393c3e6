package circuit

// place is a station on the way from tip to tip.
type place struct {
	// staysS is the mean time there.
	staysS float64
	// next are the places that follow, each with its part of the blood. What is missing
	// to one goes to organs that are not on the way.
	next []branch
}

type branch struct {
	to   int
	part float64
}

// Stations of the way from tip to tip.
const (
	atCava = iota
	atRightAtrium
	atRightVentricle
	atTrunk
	atLungs
	atLeftAtrium
	atLeftVentricle
	atBulb
	atAorta
	atTip
	arrived
)

// transit is the mean transit time, s, of indicator that reaches the tip of the arterial
// catheter from that of the venous one for the first time, at the resting flow and with
// no shunt from right to left. In each station it is volume by flow (the mean transit
// theorem: Meier and Zierler, J Appl Physiol 1954;6:731-744, from memory), whatever
// mixes there; leaks and shunts from left to right lead back.
//
// With p the part that arrives at all, and m the sum of times over it, station by
// station: p = sum part p(next), m = stays p + sum part m(next).
func (p *parcelled) transit() float64 {
	places := p.places()
	var arrive, sum [arrived + 1]float64
	arrive[arrived] = 1
	for range 20000 {
		before := sum[atCava]
		for i := arrived - 1; i >= 0; i-- {
			arrive[i], sum[i] = 0, 0
			for _, b := range places[i].next {
				arrive[i] += b.part * arrive[b.to]
				sum[i] += b.part * sum[b.to]
			}
			sum[i] += places[i].staysS * arrive[i]
		}
		if before > 0 && sum[atCava]-before < 1e-14*before {
			break
		}
	}
	return sum[atCava] / arrive[atCava]
}

// places has the stations in the order of the constants.
func (p *parcelled) places() [arrived]place {
	r := p.rest
	atCatheter := r.byVein[p.catheter]*r.body + r.loop
	streams := min(p.streaming, 0.9*r.tricuspid/atCatheter)
	rightIn := r.rightVentricle()
	trunkIn := r.pulmonary + r.ductal.LeftToRight
	leftIn := r.lungs + r.mitralLeak
	ventricleIn := r.leftVentricle()
	aortaIn := r.bulb - r.byArtery[root]*r.body
	tipIn := r.byArtery[r.atTip]*r.body + r.loop
	atriumIn := r.systemic + r.tricuspidLeak + r.atrial.LeftToRight - streams*atCatheter
	return [arrived]place{
		atCava:           {p.cava.volumeML() / atCatheter, []branch{{atRightAtrium, 1 - streams}, {atRightVentricle, streams}}},
		atRightAtrium:    {p.rightAtrium.volumeML() / atriumIn, []branch{{atRightVentricle, 1}}},
		atRightVentricle: {p.rightVentricle.volumeML() / rightIn, []branch{{atTrunk, 1 - r.tricuspidLeak/rightIn}, {atRightAtrium, r.tricuspidLeak / rightIn}}},
		atTrunk:          {p.trunk.volumeML() / trunkIn, []branch{{atLungs, 1 - r.pulmonaryLeak/trunkIn}, {atRightVentricle, r.pulmonaryLeak / trunkIn}}},
		atLungs:          {p.lungs.volumeML() / r.lungs, []branch{{atLeftAtrium, 1}}},
		atLeftAtrium:     {p.leftAtrium.volumeML() / leftIn, []branch{{atLeftVentricle, 1 - r.atrial.LeftToRight/leftIn}, {atRightAtrium, r.atrial.LeftToRight / leftIn}}},
		atLeftVentricle: {p.leftVentricle.volumeML() / ventricleIn, []branch{
			{atBulb, 1 - (r.ventricular.LeftToRight+r.mitralLeak)/ventricleIn},
			{atRightVentricle, r.ventricular.LeftToRight / ventricleIn}, {atLeftAtrium, r.mitralLeak / ventricleIn},
		}},
		atBulb:  {p.bulb.volumeML() / r.aortic, []branch{{atAorta, aortaIn / r.aortic}, {atLeftVentricle, r.aorticLeak / r.aortic}}},
		atAorta: {p.aorta.volumeML() / aortaIn, []branch{{atTip, tipIn / aortaIn}, {atTrunk, r.ductal.LeftToRight / aortaIn}}},
		atTip:   {p.tip.volumeML() / tipIn, []branch{{arrived, 1}}},
	}
}
