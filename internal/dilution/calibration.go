package dilution

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"math"
	"sync"
)

// Outputs of a net, in order. OutFlow is the natural logarithm of a multiple of the
// flow of the closed loops, OutTransit a multiple of the rise time on top of the delay; the central volume is
// flow times transit. A spread is the logarithm of a relative standard deviation.
const (
	OutFlow = iota
	OutFlowSpread
	OutTransit
	OutTransitSpread
	OutCentralSpread
	OutLeft  // log odds of blood crossing from left to right
	OutEarly // log odds of indicator that appears early
	Outputs
)

// Calibration is what was learned from simulated circulations: nets that answer from
// the features, and figures that were set on recordings of their own.
type Calibration struct {
	// Seed and Rows say what it was tuned on.
	Seed uint64
	Rows int
	// Mean and SD of each feature; a feature without spread or one that is not used has
	// an SD of 0.
	Mean, SD []float64
	// Whiten takes a standardised description to uncorrelated parts of variance 1, row by
	// row; their mean square says how unlike the recordings of the tuning one is.
	Whiten []float64
	// Unlike is the mean square that one of a thousand recordings of the tuning exceeds.
	Unlike float64
	Nets   []Network
	// FlowSD, TransitSD and CentralSD are the factors that make the nets' spreads stated
	// standard deviations.
	FlowSD, TransitSD, CentralSD float64
	// Left and Early are the thresholds of the signs, log odds.
	Left, Early float64
}

//go:embed calibration.json
var calibrationText []byte

// calibration is read once, and only where there are curves.
var calibration = sync.OnceValues(func() (*Calibration, error) {
	c := new(Calibration)
	if err := json.Unmarshal(calibrationText, c); err != nil {
		return nil, fmt.Errorf("calibration.json: %w", err)
	}
	return c, c.check()
})

// check refuses a calibration that does not fit the features.
func (c *Calibration) check() error {
	if len(c.Mean) != featureCount || len(c.SD) != featureCount || len(c.Nets) == 0 {
		return fmt.Errorf("calibration.json describes %d features; there are %d", len(c.Mean), featureCount)
	}
	for _, n := range c.Nets {
		in := featureCount
		for _, l := range n.Layers {
			if l.In != in || l.Out > widest || len(l.Weights) != l.In*l.Out || len(l.Offset) != l.Out {
				return fmt.Errorf("calibration.json has a layer of %d to %d where %d go in", l.In, l.Out, in)
			}
			in = l.Out
		}
		if in != Outputs {
			return fmt.Errorf("calibration.json has a net with %d outputs; %d are wanted", in, Outputs)
		}
	}
	return nil
}

// Standardised gives the features as the nets want them.
func (c *Calibration) Standardised(features, out []float64) {
	const most = 5 // beyond, a feature says no more
	for i, x := range features {
		out[i] = 0
		if c.SD[i] > 0 {
			out[i] = min(max((x-c.Mean[i])/c.SD[i], -most), most)
		}
	}
}

// Answer is what the calibration says of one recording.
type Answer struct {
	FlowMLs, TransitS, CentralML float64
	// Relative standard deviations, as stated.
	FlowSD, TransitSD, CentralSD float64
	Left, Early                  float64 // log odds
	Unlike                       float64
}

// leastSpread is the logarithm of the smallest spread that a net may claim, 0.3 %, and
// leastTransitS the shortest transit.
const (
	leastSpread   = -5.8
	leastTransitS = 0.1
)

// LogTransit gives the logarithm of the transit that an output means.
func (s Scale) LogTransit(out float64) float64 {
	return math.Log(max(s.DelayS+out*s.RiseS, leastTransitS))
}

// Answer asks all nets: the answer is their mean, in logarithms, and a spread that of the
// mixture of all.
func (c *Calibration) Answer(standardised []float64, scale Scale) (a Answer) {
	var each [Outputs]float64
	var sums, squares [3]float64
	n := float64(len(c.Nets))
	for k := range c.Nets {
		c.Nets[k].Run(standardised, each[:])
		flow, transit := each[OutFlow], scale.LogTransit(each[OutTransit])
		for i, v := range [3]float64{flow, transit, flow + transit} {
			spread := math.Exp(max(each[[3]int{OutFlowSpread, OutTransitSpread, OutCentralSpread}[i]], leastSpread))
			sums[i] += v / n
			squares[i] += (spread*spread + v*v) / n
		}
		a.Left += each[OutLeft] / n
		a.Early += each[OutEarly] / n
	}
	spread := func(i int) float64 { return math.Sqrt(max(squares[i]-sums[i]*sums[i], 0)) }
	a.FlowMLs = scale.FlowMLs * math.Exp(sums[0])
	a.TransitS = math.Exp(sums[1])
	a.CentralML = a.FlowMLs * a.TransitS
	a.FlowSD, a.TransitSD, a.CentralSD = c.FlowSD*spread(0), c.TransitSD*spread(1), c.CentralSD*spread(2)
	return a
}

func (c *Calibration) answer(f *features) Answer {
	var x [featureCount]float64
	c.Standardised(f.Of[:], x[:])
	a := c.Answer(x[:], f.Scale)
	a.Unlike = c.Unlikeness(x[:])
	return a
}

// Unlikeness is the mean square of the uncorrelated parts.
func (c *Calibration) Unlikeness(x []float64) float64 {
	sum := 0.0
	n := len(c.Whiten) / len(x)
	for i := range n {
		part := 0.0
		for j, w := range c.Whiten[i*len(x) : (i+1)*len(x)] {
			part += w * x[j]
		}
		sum += part * part
	}
	return sum / float64(max(n, 1))
}
