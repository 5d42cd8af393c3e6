package circuit

// network is a set of well-mixed tanks between which volumes of blood move, step by
// step. What leaves a tank carries the concentration at the start of the step, and what
// leaves one tank enters another: mass is conserved but for rounding. A step of this
// kind keeps area and mean transit of a curve exactly, and makes its variance smaller by
// the step times the transit of each tank.
type network struct {
	// massML is the indicator in each tank; volumeML the blood. Junctions come first,
	// then the tanks of chains, then tissue.
	massML, volumeML []float64
	junctions        int
	concentration    []float64 // of junctions, at the start of a step
	links            []link
	chains           []chain
	exchanges        []exchange
	// port is the chain into which the indicator is injected.
	port int
}

// link is a way out of a junction. What flows in a step is linear in what the step
// moves.
type link struct {
	from, to int // tanks
	// chain is the chain that starts at to, -1 for a junction.
	chain                                   int
	steadyMLs, loopMLs, injectedPart, pulse float64
	valve                                   valve
	movedML                                 float64
}

// chain is a row of equal tanks whose volumes stay: what comes in goes through.
type chain struct {
	first, last int
	tankML      float64
	// to is the tank that the chain flows into, next the chain that starts there or -1.
	to, next int
	// past is a second tank that gets pastShare of what flows out.
	past      int
	pastShare float64
	movedML   float64
}

// volumeML is the blood in a chain.
func (c *chain) volumeML() float64 { return c.tankML * float64(c.last-c.first+1) }

// exchange is slow diffusion between a tank and the tissue around it.
type exchange struct {
	tank, tissue int
	flowMLs      float64
}

// moved is what one step moves.
type moved struct {
	// steadyS and loopS are the seconds of resting flow that the body and the loop get.
	steadyS, loopS float64
	// valveS are the same for what flows through the valves of the beating heart.
	valveS [valves]float64
	// injectedML is the indicator that comes in.
	injectedML float64
}

// of is the volume that a link moves.
func (m *moved) of(l *link) float64 {
	return l.steadyMLs*m.steadyS + l.loopMLs*m.loopS + l.injectedPart*m.injectedML + l.pulse*m.valveS[l.valve]
}

// step moves blood and indicator once.
func (n *network) step(m *moved, lengthS float64) {
	for i := range n.junctions {
		n.concentration[i] = n.massML[i] / n.volumeML[i]
	}
	n.measure(m)
	n.exchange(lengthS)
	// From the end of a row of chains to its start: none sees what its neighbour gave in
	// the same step.
	for i := len(n.chains) - 1; i >= 0; i-- {
		n.push(&n.chains[i])
	}
	for i := range n.links {
		l := &n.links[i]
		indicator := n.concentration[l.from] * l.movedML
		n.massML[l.from] -= indicator
		n.massML[l.to] += indicator
		n.volumeML[l.from] -= l.movedML
		if l.chain < 0 {
			n.volumeML[l.to] += l.movedML
		}
	}
	n.massML[n.chains[n.port].first] += m.injectedML
}

// measure finds the volumes that all links and chains move in this step.
func (n *network) measure(m *moved) {
	for i := range n.chains {
		n.chains[i].movedML = 0
	}
	n.chains[n.port].movedML = m.injectedML
	for i := range n.links {
		l := &n.links[i]
		l.movedML = m.of(l)
		if l.chain >= 0 {
			n.chains[l.chain].movedML += l.movedML
		}
	}
	// A chain stands before the one that it flows into.
	for i := range n.chains {
		if c := &n.chains[i]; c.next >= 0 {
			n.chains[c.next].movedML += c.movedML
		}
	}
}

// push moves what is in a chain on by what flows in.
func (n *network) push(c *chain) {
	tanks := n.massML[c.first : c.last+1]
	part := c.movedML / c.tankML
	indicator := part * tanks[len(tanks)-1]
	for k := len(tanks) - 1; k > 0; k-- {
		tanks[k] += part * (tanks[k-1] - tanks[k])
	}
	tanks[0] -= part * tanks[0]
	past := c.pastShare * indicator
	n.massML[c.to] += indicator - past
	if c.next < 0 {
		n.volumeML[c.to] += (1 - c.pastShare) * c.movedML
	}
	if past > 0 || c.pastShare > 0 {
		n.massML[c.past] += past
		n.volumeML[c.past] += c.pastShare * c.movedML
	}
}

// exchange lets indicator go to the tissue and come back.
func (n *network) exchange(lengthS float64) {
	for _, e := range n.exchanges {
		indicator := e.flowMLs * lengthS * (n.massML[e.tank]/n.volumeML[e.tank] - n.massML[e.tissue]/n.volumeML[e.tissue])
		n.massML[e.tank] -= indicator
		n.massML[e.tissue] += indicator
	}
}

// concentrationAt is the indicator in a tank as part of its blood.
func (n *network) concentrationAt(tank int) float64 { return n.massML[tank] / n.volumeML[tank] }

// wholeMassML is all indicator, wherever it is.
func (n *network) wholeMassML() float64 {
	sum := 0.0
	for _, m := range n.massML {
		sum += m
	}
	return sum
}

// addChain appends a row of tanks that flows into a tank, or into the start of the chain
// next if that is not -1.
func (n *network) addChain(tanks int, volumeML float64) int {
	c := chain{first: len(n.massML), last: len(n.massML) + tanks - 1, tankML: volumeML / float64(tanks), next: -1}
	for range tanks {
		n.massML = append(n.massML, 0)
		n.volumeML = append(n.volumeML, c.tankML)
	}
	n.chains = append(n.chains, c)
	return len(n.chains) - 1
}

// restingMLs is the flow of a link when nothing is injected and no beat is looked at.
func (l *link) restingMLs() float64 { return l.steadyMLs + l.loopMLs + l.pulse }

// resting gives the resting flow through each chain.
func (n *network) resting() []float64 {
	m := moved{steadyS: 1, loopS: 1}
	for v := range valves {
		m.valveS[v] = 1
	}
	n.measure(&m)
	flows := make([]float64, len(n.chains))
	for i, c := range n.chains {
		flows[i] = c.movedML
	}
	return flows
}
