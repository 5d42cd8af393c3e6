package circuit

// Structure is something that Parcels has and that a model of the circulation may leave
// out. Taking one away at a time shows what an estimator's error comes from.
type Structure int

// Structures of Parcels.
const (
	LaminarTubes Structure = iota
	LaminarVessels
	SpreadOfOrgans
	ZonesOfLungs
	IncompleteMixing
	Beats
	TissueExchange
)

// Structures gives all, in the order of tables.
func Structures() []Structure {
	return []Structure{LaminarTubes, LaminarVessels, SpreadOfOrgans, ZonesOfLungs, IncompleteMixing, Beats, TissueExchange}
}

func (t Structure) String() string {
	return [...]string{
		LaminarTubes:     "laminar flow in the tubes",
		LaminarVessels:   "laminar flow in the great vessels",
		SpreadOfOrgans:   "organs of different transit",
		ZonesOfLungs:     "zones of the lungs",
		IncompleteMixing: "incomplete mixing of the chambers",
		Beats:            "mixing at the beats",
		TissueExchange:   "exchange with the tissues",
	}[t]
}

// Without gives the circuit less one structure: tubes and vessels as plugs, organs of
// one mean transit, lungs of one zone, chambers that mix all at once. Whatever else is
// drawn stays the same.
func (c Parcels) Without(t Structure) Parcels {
	c.lacks[t] = true
	return c
}

// lacking tells which structures were taken away.
type lacking [TissueExchange + 1]bool

// plug is the law of transit in which all takes the same time.
func plug() transitLaw { return transitLaw{{share: 1, transit: 1}} }

// takeAway changes a circuit that was drawn whole.
func (p *parcelled) takeAway(lacks lacking) {
	for _, t := range Structures() {
		if lacks[t] {
			p.takeOne(t)
		}
	}
}

func (p *parcelled) takeOne(t Structure) {
	again := func(w **way, law transitLaw) { *w = newWay((*w).entered, (*w).volumeML(), law) }
	switch t {
	case LaminarTubes:
		for i := range p.loop {
			again(&p.loop[i], plug())
		}
	case LaminarVessels:
		again(&p.aorta, plug())
		again(&p.tip, plug())
		again(&p.cava, plug())
	case SpreadOfOrgans:
		bloodML := 0.0
		for _, o := range p.organs {
			bloodML += o.share * o.vessels.volumeML()
		}
		for i := range p.organs {
			o := &p.organs[i]
			o.vessels = newWay(o.vessels.entered, bloodML, logNormalLaw(o.spread, strandsOfAnOrgan))
		}
	case ZonesOfLungs:
		again(&p.lungs, logNormalLaw(spreadOfOneZone, strandsOfAZone))
	case IncompleteMixing:
		for _, c := range p.chambers() {
			c.stirredML, c.asideML, c.shortcut = c.stirredML+c.asideML, 0, 0
		}
	case Beats:
		p.rightVentricle.beats, p.leftVentricle.beats = false, false
	case TissueExchange:
		for i := range p.organs {
			p.organs[i].leaves = 0
		}
	}
}

// spreadOfOneZone is the spread of the logarithm of the transit in lungs of one zone.
const spreadOfOneZone = 0.33
