package circuit

import "math"

// valve is one of the four valves; the leak of a valve flows while the other valve of
// its chamber is open.
type valve int

const (
	tricuspidValve valve = iota
	pulmonaryValve
	mitralValve
	aorticValve
	valves
)

// filling tells whether a valve lets the ventricles fill; the others let them eject.
func (v valve) filling() bool { return v == tricuspidValve || v == mitralValve }

// pulse tells how the flow through the valves is spread over a beat: the ventricles
// fill first, then they eject, each as half a sine.
type pulse struct {
	// diastole is the share of the beat in which the ventricles fill.
	diastole float64
	// beating is the part of a valve's flow that pulses; the rest is steady. It is below
	// 1 only where a chamber would run empty.
	beating [valves]float64
}

// newPulse has systole take more of a fast beat: 0.35 of it at 60 per min, 0.45 at 160
// (common practice, no source).
func newPulse(heartRatePerMin float64) pulse {
	p := pulse{diastole: 1 - min(max(0.29+heartRatePerMin/1000, 0.32), 0.5)}
	for v := range valves {
		p.beating[v] = 1
	}
	return p
}

// through is the part of a beat's flow that has gone through a valve at a phase of the
// beat, 0 to 1.
func (p *pulse) through(v valve, phase float64) float64 {
	return p.beating[v]*p.pulsing(v.filling(), phase) + (1-p.beating[v])*phase
}

// pulsing is through for a flow that pulses wholly.
func (p *pulse) pulsing(filling bool, phase float64) float64 {
	at := (phase - p.diastole) / (1 - p.diastole)
	if filling {
		at = phase / p.diastole
	}
	return (1 - math.Cos(math.Pi*min(max(at, 0), 1))) / 2
}

// open is the part of a beat in which a valve lets blood through.
func (p *pulse) open(v valve) float64 {
	if v.filling() {
		return p.diastole
	}
	return 1 - p.diastole
}

// clock adds up what has flowed since the first beat began, in seconds of resting flow.
// Within one beat the flow is that of its middle, so that what a chamber gets in a beat
// is what it gives.
type clock struct {
	pulse
	beats   []beat
	factors []float64 // on the flow, one for each beat
	now     int
	// beforeS is what has flowed in all beats before this one, the others until now.
	beforeS, totalS float64
	valveS          [valves]float64
}

// newClock stands at the start of the first beat.
func newClock(p pulse, c *course, meanBeatS float64) *clock {
	k := &clock{pulse: p, beats: c.beats}
	for _, b := range c.beats {
		k.factors = append(k.factors, c.slowAt(b.startS+b.lengthS/2)*b.stroke*meanBeatS/b.lengthS)
	}
	return k
}

// advance goes on to a time and gives what flowed until then.
func (k *clock) advance(toS float64, m *moved) {
	for k.now < len(k.beats)-1 && toS >= k.beats[k.now+1].startS {
		k.beforeS += k.factors[k.now] * k.beats[k.now].lengthS
		k.now++
	}
	b := k.beats[k.now]
	beatS, phase := k.factors[k.now]*b.lengthS, (toS-b.startS)/b.lengthS
	total := k.beforeS + beatS*phase
	m.steadyS, k.totalS = total-k.totalS, total
	filling, ejecting := k.pulsing(true, phase), k.pulsing(false, phase)
	for v := range valves {
		pulsing := ejecting
		if v.filling() {
			pulsing = filling
		}
		through := k.beforeS + beatS*(k.beating[v]*pulsing+(1-k.beating[v])*phase)
		m.valveS[v], k.valveS[v] = through-k.valveS[v], through
	}
}

// factor is that on the flow of the beat that goes on.
func (k *clock) factor() float64 { return k.factors[k.now] }
