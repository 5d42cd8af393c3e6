package circuit

import (
	"math"
	"math/rand/v2"
)

// Streams of random numbers. One subject draws from one stream, so that the same seed
// gives both circuits the same hand and the same breath, and a new draw in one subject
// leaves the others alone.
const (
	streamInjection uint64 = iota + 1
	streamState
	streamTanks
	streamParcels
	streamPeople
	streamWidePeople
	streamSensor
	streamSpoil
	streamKernels
)

// draw is one stream of random numbers of a scenario.
type draw struct {
	*rand.Rand
	widen float64
}

// newDraw opens a stream of the scenario's seed.
func newDraw(s Scenario, stream uint64) draw {
	d := draw{Rand: rand.New(rand.NewPCG(s.Seed, stream)), widen: 1}
	if s.Wide {
		d.widen = 1.75
	}
	return d
}

// between gives a number, log-uniform from low to high, both above 0; a wide draw
// stretches that range about its geometric middle.
func (d draw) between(low, high float64) float64 {
	middle, half := math.Sqrt(low*high), math.Log(high/low)/2
	return middle * math.Exp((2*d.Float64()-1)*half*d.widen)
}

// share is between for a part of one: it never leaves 0.01 to 0.99.
func (d draw) share(low, high float64) float64 {
	return min(max(d.between(low, high), 0.01), 0.99)
}
