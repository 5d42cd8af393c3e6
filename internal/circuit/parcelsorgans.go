package circuit

import "math"

// artery is where an organ's blood comes from.
type artery int

const (
	root       artery = iota // the root of the aorta
	arch                     // before the duct
	descending               // behind the duct
	arteries
)

// vein is where an organ's blood goes.
type vein int

const (
	upperCava vein = iota
	lowerCava
	atrium // straight into the right atrium
	veins
)

// organ is one row of the table of organs.
type organ struct {
	name string
	from artery
	to   vein
	// flow in per cent of the resting flow of an adult.
	flow float64
	// transit from the artery's to the vein's end, as part of the mean of the body.
	transit float64
	// spread is the standard deviation of the logarithm of the transit.
	spread float64
	// leaky is how much of the indicator leaves into the tissue in one passage, as part
	// of what skeletal muscle lets out.
	leaky float64
}

// organTable has the organs. Flows: National Research Council, Risk Assessment of Radon
// in Drinking Water, 1999, appendix A, table A-1 (adult male, after Leggett and Williams
// 1995), read there; it adds up to 102.55 and is scaled to the whole. What goes to arms,
// legs and trunk of muscle, skin, fat and bone is divided by us. Transits, spreads and
// leakiness: ours, no source; the slowest takes 2.2 of the mean, the quickest 0.2.
func organTable() []organ {
	return []organ{
		{"wall of the heart", root, atrium, 4, 0.2, 0.3, 1},
		{"brain", arch, upperCava, 12, 0.4, 0.35, 0.1},
		{"thyroid", arch, upperCava, 1.5, 0.3, 0.35, 1},
		{"arms, head and shoulders", arch, upperCava, 9.25, 1.3, 0.55, 1},
		{"bronchi", descending, upperCava, 2.5, 0.5, 0.45, 1},
		{"kidneys", descending, lowerCava, 19, 0.35, 0.35, 0.6},
		{"gut, spleen and pancreas by the portal vein", descending, lowerCava, 19, 1.5, 0.4, 1.5},
		{"liver by its artery", descending, lowerCava, 6.5, 0.8, 0.4, 1.5},
		{"muscle of trunk and legs", descending, lowerCava, 12.75, 1.6, 0.6, 1},
		{"fat of trunk and legs", descending, lowerCava, 4, 2.2, 0.6, 1},
		{"skin of trunk and legs", descending, lowerCava, 3.25, 1.6, 0.6, 1.2},
		{"marrow and bone of trunk and legs", descending, lowerCava, 5.25, 1.3, 0.5, 0.8},
		{"the rest", descending, lowerCava, 3.55, 1, 0.5, 1},
	}
}

// upperBody is by how much the head takes more of the flow in a small child: the upper
// cava carries 37 % in a newborn (Kluckow and Evans, Arch Dis Child Fetal Neonatal Ed
// 2000;82:F182, abstract), a quarter by the table. Between 10 and 50 kg by the logarithm
// of the weight (no source).
func upperBody(weightKg float64) float64 {
	const child, adult = 1.7, 1.0
	grown := min(max(math.Log(weightKg/10)/math.Log(5), 0), 1)
	return child + (adult-child)*grown
}

// tissue is an organ as one scenario has it: vessels, and the space beside them that
// takes indicator up and gives it back slowly.
type tissue struct {
	organ
	vessels *way
	// share of the flow of the body, loop excluded.
	share float64
	// leaves is the part of the indicator that one passage loses, backPerS what comes
	// back; asideML of indicator is there.
	leaves, backPerS, asideML float64
}

// strandsOfAnOrgan is the number of lines that stand for its law of transit.
const strandsOfAnOrgan = 8

// drawTissues draws shares, transits and spreads about the table. bodyML is all the
// blood of the organs, flowMLs their flow. The ledgers add up the blood that all organs
// take, each with the indicator of its artery.
func drawTissues(d draw, s Scenario, bodyML float64, from [arteries]*ledger) []tissue {
	fastest, slowest := 0.2, 2.2
	if s.Wide {
		fastest, slowest = 0.12, 3.5
	}
	leaves, head := d.share(0.015, 0.06), upperBody(s.WeightKg)
	table := organTable()
	organs := make([]tissue, len(table))
	flow, volume := 0.0, 0.0
	for i, o := range table {
		t := &organs[i]
		t.organ = o
		if o.from == arch {
			o.flow *= head
		}
		t.share = o.flow * d.between(0.75, 1.33)
		t.transit = min(max(o.transit*d.between(0.75, 1.33), fastest), slowest)
		t.spread = o.spread * d.between(0.75, 1.33)
		t.leaves, t.backPerS = min(leaves*o.leaky, 0.5), 1/d.between(40, 200)
		flow += t.share
		volume += t.share * t.transit
	}
	for i := range organs {
		t := &organs[i]
		// The ledger counts the blood of all organs: a parcel is in this one while
		// its volume by its share has entered all.
		t.share /= flow
		t.vessels = newWay(from[t.from], t.transit*bodyML*flow/volume, logNormalLaw(t.spread, strandsOfAnOrgan))
	}
	return organs
}

// leave lets the organ's part of the body's blood out, and gives volume and indicator.
func (t *tissue) leave(bodyML, stepS float64) (ml, indicatorML float64) {
	passing := t.vessels.leave(bodyML) * t.share
	out, back := passing*t.leaves, t.asideML*t.backPerS*stepS
	t.asideML += out - back
	return bodyML * t.share, passing - out + back
}

// held is the indicator in the organ.
func (t *tissue) held() float64 { return t.vessels.held()*t.share + t.asideML }
