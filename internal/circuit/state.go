package circuit

import (
	"fmt"
	"math"
)

// courseStepS is the time between two entries of a course.
const courseStepS = 0.01

// course is what the circulation does from time 0 on: by how much its flows are above
// the resting ones, and when the heart beats. All flows through heart, lungs and body
// share it; the loop has a pump of its own.
type course struct {
	// slow is the factor on the flow by breathing, drift and added volume, every
	// courseStepS.
	slow []float64
	// fillingML is the added volume that still raises the flow, every courseStepS.
	fillingML []float64
	beats     []beat
}

// beat is one cycle of the heart.
type beat struct {
	startS, lengthS float64
	// stroke is the volume that is thrown out, as part of that of a beat of mean length.
	stroke float64
}

// newCourse draws the state of a scenario. It refuses a flow that falls to that of the
// loop.
func newCourse(s Scenario, given *syringe) (*course, error) {
	d := newDraw(s, streamState)
	n := int(math.Ceil(s.AfterS/courseStepS)) + 2
	c := &course{slow: make([]float64, n), fillingML: make([]float64, n)}
	// Added blood volume raises the flow by a few times its share, and is taken up by
	// the veins of the body over some seconds (common practice, no source).
	phase, gain, decayS := 2*math.Pi*d.Float64(), d.between(1.5, 5), d.between(6, 14)
	if !s.Injection.RaisesFlow {
		gain = 0
	}
	breathing, keep := 2*math.Pi*s.State.BreathsPerMin/60, math.Exp(-courseStepS/decayS)
	for i := range n {
		t := float64(i) * courseStepS
		if i > 0 {
			c.fillingML[i] = c.fillingML[i-1]*keep + given.byML(t) - given.byML(t-courseStepS)
		}
		c.slow[i] = (1 + s.State.BreathingShare*math.Sin(breathing*t+phase)) *
			(1 + s.State.DriftPerMin*t/60) *
			(1 + gain*c.fillingML[i]/s.BloodML)
		if flow := c.slow[i] * s.FlowMLs; flow <= 1.01*s.Loop.FlowMLs || c.slow[i] < 0.1 {
			return nil, fmt.Errorf("the flow falls to %.4g mL/s at %.4g s; it has to stay above the %.4g mL/s of the loop and a tenth of its resting value",
				flow, t, s.Loop.FlowMLs)
		}
	}
	c.beats = drawBeats(s, d)
	return c, nil
}

// drawBeats gives the beats that cover the record after time 0. A heart that had more
// time fills more: the stroke follows the length in part.
func drawBeats(s Scenario, d draw) []beat {
	mean, follows := 60/s.HeartRatePerMin, d.share(0.5, 0.95)
	at := -d.Float64() * mean
	var beats []beat
	for at <= s.AfterS {
		length := 1.0
		if s.State.Irregularity > 0 {
			length = min(max(1+s.State.Irregularity*d.NormFloat64(), 0.5), 2)
		}
		beats = append(beats, beat{startS: at, lengthS: length * mean, stroke: 1 + follows*(length-1)})
		at += length * mean
	}
	return beats
}

// slowAt is the factor on the flow at a time, beats averaged.
func (c *course) slowAt(atS float64) float64 { return interpolate(c.slow, atS/courseStepS) }

// interpolate reads a table between its entries; before the first and behind the last
// it is constant.
func interpolate(table []float64, at float64) float64 {
	if at <= 0 {
		return table[0]
	}
	i := int(at)
	if i >= len(table)-1 {
		return table[len(table)-1]
	}
	return table[i] + (at-float64(i))*(table[i+1]-table[i])
}

// rhythm walks along the beats of a course.
type rhythm struct {
	beats []beat
	next  int
}

// at gives the beat of a time; times must not fall.
func (r *rhythm) at(atS float64) beat {
	for r.next < len(r.beats)-1 && atS >= r.beats[r.next+1].startS {
		r.next++
	}
	return r.beats[r.next]
}

// flow is the factor that the beat has on the flow: stroke by its length, mean 1.
func (b beat) flow(heartRatePerMin float64) float64 {
	return b.stroke * 60 / heartRatePerMin / b.lengthS
}
