package main

import (
	"bufio"
	"encoding/gob"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"runtime"
	"sync"
	"sync/atomic"

	"saltmark/internal/accuracy/cases"
	"saltmark/internal/circuit"
	"saltmark/internal/dilution"
)

// row is one simulated recording: what the calibration sees of it, and the truth.
type row struct {
	dilution.Condensed
	dilution.Description

	Circuit      string
	Shunt        circuit.Shunting
	WeightKg     float64
	Postductal   bool
	BaselineS    float64
	FlowMLs      float64
	RatioOfFlows float64 // Qp/Qs by what crosses from left to right
	CentralML    float64 // NaN where it means nothing
}

func circuits() []circuit.Circuit {
	return []circuit.Circuit{circuit.Kernels{}, circuit.Tanks{}, circuit.Parcels{}}
}

// mix is how often each shunt is drawn, in parts of mixParts, and how much one such row
// counts in training. What is hard to tell is drawn more often; all in all the kinds
// count about as often as there are figures of them.
var mix = []struct {
	shunt  circuit.Shunting
	parts  int
	weight float64
}{
	{circuit.NoShunt, 7, 1},
	{circuit.AtrialLeftToRight, 2, 1.6}, {circuit.VentricularLeftToRight, 2, 1.4}, {circuit.DuctalLeftToRight, 3, 1},
	{circuit.AtrialRightToLeft, 2, 1.2}, {circuit.VentricularRightToLeft, 2, 1.2}, {circuit.DuctalRightToLeft, 4, 0.7},
	{circuit.BothWays, 2, 1},
}

// preductalWeight is that of a ductal shunt from right to left where the sensor does not
// see it: few are drawn, and nothing in the curve tells them.
const preductalWeight = 2.2

// weight is how much a row counts in training.
func (r *row) weight() float64 {
	for _, m := range mix {
		switch {
		case m.shunt != r.Shunt:
		case r.Shunt == circuit.DuctalRightToLeft && !r.Postductal:
			return preductalWeight
		default:
			return m.weight
		}
	}
	return 1
}

const mixParts = 24

func shuntOf(i int) circuit.Shunting {
	i %= mixParts
	for _, m := range mix {
		if i -= m.parts; i < 0 {
			return m.shunt
		}
	}
	return circuit.NoShunt
}

// usual are the recordings that figures are published of; others are what the nets see
// while they are tuned: all noise, drift and sampling up to three times that.
func recordingOf(lot *rand.Rand, wide bool) cases.Recording {
	r := cases.Usual()
	if !wide {
		return r
	}
	r.WhiteNoise = 0.003 * math.Exp(2.4*lot.Float64())
	r.DriftPerMin = 0.04 * lot.Float64()
	if lot.IntN(2) == 0 {
		r.SlowNoise = 0.012 * lot.Float64()
	}
	if lot.IntN(3) == 0 {
		r.Bend = 0.05 * lot.Float64()
	}
	r.RateHz = []float64{25, 50, 100, 100, 100, 200}[lot.IntN(6)]
	r.NotedOffS = 3
	r.OwnPeak = lot.IntN(3) == 0
	if lot.IntN(8) == 0 {
		r.Missing, r.JitterS = 0.01*lot.Float64(), 0.002
	}
	return r
}

// alterOf disturbs a part of the circulations that nets are tuned on.
func alterOf(lot *rand.Rand, wide bool) func(*circuit.Scenario) {
	if !wide {
		return nil
	}
	kind, size := lot.IntN(12), lot.Float64()
	steady, below := lot.IntN(5) == 0, lot.IntN(2) == 0
	return func(s *circuit.Scenario) {
		if steady {
			s.Injection.RaisesFlow = false
		}
		// What crosses a duct to the body is seen behind it only.
		if below && s.Shunts.Ductal.RightToLeft > 0 {
			s.Postductal = true
		}
		switch kind {
		case 0:
			s.State.BreathingShare = 0.25 * size
		case 1:
			s.State.Irregularity = 0.2 * size
		case 2:
			s.State.DriftPerMin = 0.2 * (size - 0.5)
		case 3:
			s.Leaks.Tricuspid = 0.3 * size
		case 4:
			s.Leaks.Mitral = 0.3 * size
		case 5:
			s.Leaks.Aortic = 0.2 * size
		case 6:
			s.Streaming = 0.6 * size
		}
	}
}

// lackingSome takes one structure away from a third of the circulations and two from a
// sixth, so that nothing that is learned hangs on one circuit having all of its own.
func lackingSome(lot *rand.Rand, c circuit.Circuit) circuit.Circuit {
	count := [6]int{3: 1, 4: 1, 5: 2}[lot.IntN(6)]
	all := circuit.Structures()
	for range count {
		away := all[lot.IntN(len(all))]
		switch whole := c.(type) {
		case circuit.Tanks:
			c = whole.Without(away)
		case circuit.Parcels:
			c = whole.Without(away)
		}
	}
	return c
}

// gather makes n rows of one circuit.
func gather(c circuit.Circuit, n int, seed uint64, wide, usual bool) []row {
	made := make([]*row, n)
	var next atomic.Int64
	var group sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		group.Go(func() {
			for {
				i := int(next.Add(1)) - 1
				if i >= n {
					return
				}
				made[i] = makeRow(c, i, seed, wide, usual)
			}
		})
	}
	group.Wait()
	rows := make([]row, 0, n)
	for _, r := range made {
		if r != nil {
			rows = append(rows, *r)
		}
	}
	return rows
}

func makeRow(c circuit.Circuit, i int, seed uint64, wide, usual bool) *row {
	lot := rand.New(rand.NewPCG(seed, uint64(i)))
	setup := cases.Setup{
		Population: circuit.Population{Wide: wide, Shunt: shuntOf(i)},
		Recording:  recordingOf(lot, wide && !usual), Alter: alterOf(lot, wide && !usual),
	}
	name := c.Name()
	if wide && !usual {
		c = lackingSome(lot, c)
	}
	made, err := cases.Make(c, setup, cases.Seeds(seed, "tune/"+name, i))
	if err != nil {
		return nil
	}
	condensed := dilution.Condense(made.Input)
	description, ok := condensed.Describe()
	if !ok {
		return nil
	}
	left := made.Shunts.Atrial.LeftToRight + made.Shunts.Ventricular.LeftToRight + made.Shunts.Ductal.LeftToRight
	return &row{
		Condensed: condensed, Description: description,
		Circuit: name, Shunt: setup.Shunt, WeightKg: made.WeightKg, Postductal: made.Postductal, BaselineS: made.BaselineS,
		FlowMLs: made.Truth().FlowMLs, RatioOfFlows: 1 + left/made.FlowMLs, CentralML: made.Truth().CentralML,
	}
}

// early tells whether indicator appears early at this site.
func (r *row) early() bool {
	switch r.Shunt {
	case circuit.AtrialRightToLeft, circuit.VentricularRightToLeft:
		return true
	case circuit.DuctalRightToLeft:
		return r.Postductal
	}
	return false
}

// save and load keep rows between runs: gathering takes the longest. Where it is anew,
// features are read again from curves that were kept.
func save(name string, rows []row) error {
	f, err := os.Create(name)
	if err != nil {
		return err
	}
	w := bufio.NewWriter(f)
	e := gob.NewEncoder(w)
	for i := range rows {
		if err := e.Encode(&rows[i]); err != nil {
			return err
		}
	}
	if err := w.Flush(); err != nil {
		return err
	}
	return f.Close()
}

func load(name string, anew bool) (rows []row, err error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	d := gob.NewDecoder(bufio.NewReader(f))
	for {
		var r row
		switch err := d.Decode(&r); {
		case err == io.EOF:
			describeAll(rows, anew)
			return rows, nil
		case err != nil:
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		if rows = append(rows, r); len(rows) == most {
			describeAll(rows, anew)
			return rows, nil
		}
	}
}

// describeAll reads the features of rows that have none, or of all anew, and lets the
// curves go.
func describeAll(rows []row, anew bool) {
	var next atomic.Int64
	var group sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		group.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(rows); i = int(next.Add(1)) - 1 {
				if anew || rows[i].Features == nil {
					rows[i].Description, _ = rows[i].Condensed.Describe()
				}
				rows[i].Condensed = dilution.Condensed{}
			}
		})
	}
	group.Wait()
}
