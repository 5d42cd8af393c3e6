package circuit

// phases is how finely a beat is looked at when chambers are sized.
const phases = 256

// swing is by how much the volume of a junction goes below and above that at the start
// of a mean beat, mL, and its mean.
type swing struct{ low, high, mean float64 }

// swings follows the volumes of all junctions through a beat of mean length.
func (t *tanks) swings(p *pulse) (swings [places]swing) {
	beatS := 60 / t.HeartRatePerMin
	for i := range phases {
		phase := (float64(i) + 0.5) / phases
		var volume [places]float64
		t.accumulate(p, phase, beatS, &volume)
		for j, v := range volume {
			swings[j].low, swings[j].high = min(swings[j].low, v), max(swings[j].high, v)
			swings[j].mean += v / phases
		}
	}
	return swings
}

// accumulate adds what each junction has gained since the start of the beat. Loop and
// injection change no volume but that of the great veins.
func (t *tanks) accumulate(p *pulse, phase, beatS float64, volume *[places]float64) {
	var through [valves]float64
	for v := range valves {
		through[v] = beatS * p.through(v, phase)
	}
	gain := func(tank int, ml float64) {
		if tank < int(places) {
			volume[tank] += ml
		}
	}
	for i := range t.net.links {
		l := &t.net.links[i]
		ml := (l.steadyMLs+l.loopMLs)*beatS*phase + l.pulse*through[l.valve]
		volume[l.from] -= ml
		gain(l.to, ml) // the first tank of a chain is none of places
	}
	// Chains hold their volume: what enters, leaves.
	for i := range t.net.chains {
		c := &t.net.chains[i]
		ml := t.restingMLs[i] * beatS * phase
		if c.next < 0 {
			gain(c.to, (1-c.pastShare)*ml)
			gain(c.past, c.pastShare*ml)
		}
	}
}

// size sets the volumes of all junctions but the great veins: chambers are as full as
// the scenario says when their filling ends, or dilated; vessels have their mean.
func (t *tanks) size() {
	t.restingMLs = t.net.resting()
	swings, h := t.swings(&t.clock.pulse), t.Heart
	wide := func(j junction) float64 { return swings[j].high - swings[j].low }
	streamShare := 0.0
	if t.Streaming >= 0.01 {
		streamShare = 0.6 * t.Streaming * t.caval
	}
	full := [places]float64{
		rightAtrium:    max(h.RightAtriumML*(1-streamShare), 1.7*wide(rightAtrium)),
		atrialStream:   max(h.RightAtriumML*streamShare, 1.7*wide(atrialStream), 1e-6),
		leftAtrium:     max(h.LeftAtriumML, 1.7*wide(leftAtrium)),
		rightVentricle: max(h.RightVentricleML, wide(rightVentricle)/h.EjectionFraction),
		leftVentricle:  max(h.LeftVentricleML, wide(leftVentricle)/h.EjectionFraction),
	}
	mean := [places]float64{
		pulmonaryArtery: t.pulmonaryML, aorticRoot: t.rootML, aorticArch: t.archEndML,
		isthmus: t.isthmusML, descendingAorta: t.lowerML,
	}
	for {
		swings = t.swings(&t.clock.pulse)
		empty := false
		for j := range upperVeins {
			startML := mean[j] - swings[j].mean
			if full[j] > 0 {
				startML = full[j] - swings[j].high
			}
			t.net.volumeML[j], t.meanML[j] = startML, startML+swings[j].mean
			t.smallestML[j] = startML + t.longestBeat()*swings[j].low
			if t.smallestML[j] < 0.15*t.meanML[j] {
				t.soften(j)
				empty = true
			}
		}
		if !empty {
			return
		}
	}
}

// longestBeat is the flow of the largest beat as a multiple of that of a mean one.
func (t *tanks) longestBeat() float64 {
	longest := 1.0
	for i, f := range t.clock.factors {
		longest = max(longest, f*t.clock.beats[i].lengthS*t.HeartRatePerMin/60)
	}
	return longest
}

// soften makes the flow through the valves of a junction pulse less.
func (t *tanks) soften(j junction) {
	var touches [valves]bool
	for _, l := range t.net.links {
		if l.pulse != 0 && (l.from == int(j) || l.to == int(j)) {
			touches[l.valve] = true
		}
	}
	for v, yes := range touches {
		if yes {
			t.clock.beating[v] *= 0.9
		}
	}
}

// set gives a vein its volume, which is its smallest too: the veins swell.
func (t *tanks) set(j junction, ml float64) {
	t.net.volumeML[j], t.meanML[j], t.smallestML[j] = ml, ml, ml
}
