package circuit

import (
	"fmt"
	"math"
)

// Parcels is the circuit of moving parcels. Vessels, tissues and tubes are bundles of
// strands in which blood moves on without mixing: lungs of three or four zones with
// skewed transits, thirteen organs with log-normal ones, laminar tubes and great
// vessels. Chambers mix incompletely, ventricles at their beats. What moves a parcel is
// the volume behind it, so that a change of flow makes and loses nothing.
//
// The two cavae and the veins of the heart enter the right atrium apart, and the one
// with the catheter may stream past its mixing. The injected volume goes into the vein
// and stays in the veins of the body: while it enters, they give the less; the heart
// has more of it only as the scenario's state says.
//
// The exponential downslope, from 50 to 20 % of the peak, is 3 % low here in the median
// without shunt, and in a third of such curves the tail never falls to 20 % (computed on
// 300 people without noise): what comes back early lies on the first pass.
//
// Limits: no blood runs backwards in the great vessels but by a leak; the share of each
// organ, zone and communication of the flow is constant.
type Parcels struct {
	// cut throws away what the loop takes from the artery and what the organs give back:
	// a circulation without return, for tests.
	cut bool
	// lacks has the structures that were taken away.
	lacks lacking
}

// Name is the name in tables.
func (Parcels) Name() string { return "parcels" }

// mostSteps bounds time and memory of a run.
const mostSteps = 1_000_000

// Run simulates the scenario.
func (c Parcels) Run(s Scenario) (Run, error) {
	run, _, err := c.run(s)
	return run, err
}

// run also gives the first moment of the indicator's entry at the tip of the venous
// catheter, s.
func (c Parcels) run(s Scenario) (Run, float64, error) {
	if err := s.Check(); err != nil {
		return Run{}, 0, err
	}
	given := newSyringe(s)
	state, err := newCourse(s, given)
	if err != nil {
		return Run{}, 0, err
	}
	flow, err := state.span(s, given)
	if err != nil {
		return Run{}, 0, err
	}
	p, err := newParcelled(s, flow)
	if err != nil {
		return Run{}, 0, err
	}
	p.takeAway(c.lacks)
	perSample := math.Ceil(s.sampleStepS()/min(courseStepS, p.longestStepS(flow)) - 1e-9)
	samples := s.samplesAfter()
	if steps := float64(samples) * perSample; steps > mostSteps {
		return Run{}, 0, fmt.Errorf("%.3g steps are needed for %d samples and what chambers hold; at most %d are taken", steps, samples, mostSteps)
	}
	p.reserve(samples * int(perSample))
	w := walk{parcelled: p, cut: c.cut, stepS: s.sampleStepS() / perSample}
	r, venous := w.record(s, given, state, samples, int(perSample))
	run := Run{StepS: r.stepS, Truth: r.truth(s)}
	run.StartS, run.Arterial = withBaseline(s, r.sensor)
	_, run.Venous = withBaseline(s, venous)
	return run, w.entryML / w.enteredML, nil
}

// record walks through a run and keeps what is seen at each sample: the mean of the
// steps before and after it.
func (w *walk) record(s Scenario, given *syringe, state *course, samples, perSample int) (recorded, []float64) {
	r := recorded{
		stepS: s.sampleStepS(), transitS: w.transit(),
		tip: make([]float64, samples), sensor: make([]float64, samples),
		systemicMLs: make([]float64, samples), pulmonaryMLs: make([]float64, samples),
	}
	venous := make([]float64, samples)
	beats := rhythm{beats: state.beats}
	var before seen
	for i := range (samples-1)*perSample + 1 {
		from, to := float64(i)*w.stepS, float64(i+1)*w.stepS
		beating, middle := beats.next, (from+to)/2
		factor := state.slowAt(middle) * beats.at(middle).flow(s.HeartRatePerMin)
		now := w.step(factor, given.byML(to)-given.byML(from), beats.next != beating)
		if i%perSample == 0 {
			k := i / perSample
			r.tip[k], r.sensor[k], venous[k] = (before.tip+now.tip)/2, (before.arterial+now.arterial)/2, (before.venous+now.venous)/2
			r.systemicMLs[k] = now.systemicMLs
			r.pulmonaryMLs[k] = now.systemicMLs * w.rest.lungs / w.rest.systemic
		}
		if i%stepsToWeigh == 0 || i == (samples-1)*perSample {
			r.residual = max(r.residual, w.massError(given.byML(to), s.Injection.VolumeML))
		}
		before = now
	}
	return r, venous
}

// stepsToWeigh is the number of steps after which all indicator is counted again.
const stepsToWeigh = 100

// span is between which factors the flow moves.
type span struct{ lowest, highest float64 }

// mostPressed is the highest factor on the flow to which a hand may press it.
const mostPressed = 3

// span gives that of a run. It refuses an injection that is faster than heart and veins
// can give way.
func (c *course) span(s Scenario, given *syringe) (span, error) {
	slow, beat := span{math.Inf(1), 0}, span{math.Inf(1), 0}
	pressedMLs := 0.0
	for i, x := range c.slow {
		slow = span{min(slow.lowest, x), max(slow.highest, x)}
		at := float64(i) * courseStepS
		pressedMLs = max(pressedMLs, (given.byML(at+courseStepS)-given.byML(at))/courseStepS)
	}
	for _, b := range c.beats {
		x := b.flow(s.HeartRatePerMin)
		beat = span{min(beat.lowest, x), max(beat.highest, x)}
	}
	if pressedMLs > mostPressed*s.FlowMLs {
		return span{}, fmt.Errorf("the injection presses %.4g mL/s into the vein; at most %d times the flow of %.4g mL/s is taken", pressedMLs, mostPressed, s.FlowMLs)
	}
	pressed := (pressedMLs+s.Loop.FlowMLs)/s.FlowMLs + leastReturn
	return span{slow.lowest * beat.lowest, max(slow.highest*beat.highest, pressed)}, nil
}
