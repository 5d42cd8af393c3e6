package circuit

// Without gives the circuit less one structure: tubes of so many tanks that they are
// nearly plugs, organs of one transit time, lungs of two equal ways, ventricles that
// let blood through steadily, tissue that takes nothing up. Whatever else is drawn stays
// the same. What Tanks never had leaves them as they are: see Has.
func (c Tanks) Without(t Structure) Tanks {
	c.lacks[t] = c.Has(t)
	return c
}

// Has tells whether Tanks have a structure, if in another form than Parcels: their
// tubes disperse, though not as laminar flow does. All that is in a chamber mixes, and
// so it does in the great vessels.
func (Tanks) Has(t Structure) bool { return t != LaminarVessels && t != IncompleteMixing }

// nearlyPlug is the number of tanks of a tube that hardly disperses. A short tube gets
// fewer: a step has to fit into each.
const nearlyPlug = 200

// takeAway changes what was drawn.
func (p *plan) takeAway(lacks lacking) {
	if lacks[LaminarTubes] {
		p.tubeTanks = nearlyPlug
	}
	if lacks[ZonesOfLungs] {
		p.slowness, p.slowTanks = 1, p.quickTanks
	}
	for i := range p.organs {
		o := &p.organs[i]
		if lacks[SpreadOfOrgans] {
			o.slowness = 1
		}
		o.exchanges = o.exchanges && !lacks[TissueExchange]
	}
}
