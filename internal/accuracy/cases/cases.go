// Package cases makes measurements with known truth for the estimator: a scenario is
// drawn, a circuit runs it, two sensors record it, and what a sheet would state of it
// goes beside the curves.
//
// Tests, the figures of accuracy and the tuning of the estimator all take their cases
// from here, so that a figure means the same wherever it stands. Evaluation draws from
// the population as it is, tuning from the wide one, which has other people.
package cases

import (
	"fmt"
	"math"
	"math/rand/v2"

	"saltmark/internal/circuit"
	"saltmark/internal/dilution"
)

// Setup is how measurements are made and recorded.
type Setup struct {
	circuit.Population
	Recording
	// Alter changes the drawn scenario before it runs; nil leaves it.
	Alter func(*circuit.Scenario)
	// LoopFlowOff and VolumeOff are the relative errors of what is stated, either way by
	// lot.
	LoopFlowOff, VolumeOff float64
	// WrongVolume is a volume on the sheet that is not the one given: off by a relative
	// error between these, either way by lot; 0 and 0 is none.
	WrongVolume [2]float64
	// Spoil is what goes wrong while recording, by the name of a circuit.Spoiling; "" is
	// nothing.
	Spoil string
}

// Recording is what is wrong with the sensors, drawn anew for each case: what has a
// direction gets it by lot.
type Recording struct {
	// WhiteNoise, SlowNoise, DriftPerMin and Bend are parts of the peak; see
	// circuit.Sensor.
	WhiteNoise, SlowNoise, DriftPerMin, Bend float64
	GainOff                                  float64
	Missing, JitterS                         float64
	RateHz                                   float64
	OwnPeak                                  bool
	Unit                                     string
	// NotedOffS is how far the noted time may lie beside the start of the injection.
	NotedOffS float64
}

// Usual is the recording of the main figures: 100 Hz, white noise of 1 % of the peak,
// a straight drift of 2 % of the peak per minute.
func Usual() Recording {
	return Recording{WhiteNoise: 0.01, DriftPerMin: 0.02, RateHz: 100, NotedOffS: 1}
}

// Case is one measurement and its truth.
type Case struct {
	circuit.Scenario
	Run       circuit.Run
	Recording circuit.Recording
	Input     dilution.Input
}

// Truth is what the estimator ought to find.
func (c Case) Truth() circuit.Truth { return c.Run.Truth }

const (
	stream      = 0x6361736573
	streamAgain = 0x616761696e
)

// Make gives the case of a seed, the same for the same circuit, setup and seed.
func Make(c circuit.Circuit, setup Setup, seed uint64) (Case, error) {
	scenario := setup.Draw(seed)
	if setup.Alter != nil {
		setup.Alter(&scenario)
	}
	run, err := c.Run(scenario)
	if err != nil {
		return Case{}, fmt.Errorf("%s, seed %d: %w", c.Name(), seed, err)
	}
	lot := rand.New(rand.NewPCG(seed, stream))
	recorder, sensors := setup.recorder(lot), lot.Uint64()
	recording := recorder.Record(run, sensors)
	if setup.Spoil != "" {
		spoiling, ok := circuit.SpoilingOf(setup.Spoil)
		if !ok {
			return Case{}, fmt.Errorf("nothing is called %q that could go wrong", setup.Spoil)
		}
		recording = spoiling.Record(run, recorder, sensors)
	}
	return Case{Scenario: scenario, Run: run, Recording: recording, Input: setup.input(lot, scenario, recording)}, nil
}

// Again is a second injection of the same child, given as the first: sensors rustle and
// drift otherwise, and the sheet states the right volume.
func (c Case) Again(setup Setup, seed uint64) Case {
	setup.WrongVolume = [2]float64{}
	lot := rand.New(rand.NewPCG(seed, streamAgain))
	c.Recording = setup.recorder(lot).Record(c.Run, lot.Uint64())
	c.Input = setup.input(lot, c.Scenario, c.Recording)
	return c
}

// recorder draws the directions of what the sensors do wrong.
func (r Recording) recorder(lot *rand.Rand) circuit.Recorder {
	sensor := func() circuit.Sensor {
		return circuit.Sensor{
			WhiteNoise: r.WhiteNoise, SlowNoise: r.SlowNoise, Missing: r.Missing, Unit: r.Unit,
			GainError: either(lot, r.GainOff), DriftPerMin: either(lot, r.DriftPerMin),
			Bend: either(lot, r.Bend), BendS: 20 * math.Exp(lot.Float64()*math.Log(4)),
			BloodMS: bloodMS + 5*(2*lot.Float64()-1), IndicatorMS: indicatorMS,
		}
	}
	return circuit.Recorder{
		Arterial: sensor(), Venous: sensor(), RateHz: r.RateHz, JitterS: r.JitterS,
		OwnPeak: r.OwnPeak, NotedLateS: r.NotedOffS * (2*lot.Float64() - 1),
	}
}

// Speeds of sound at 37 Cel. Saline: TEOS-10 at 9 g/kg of sea salt; blood 1570 to 1590:
// from memory.
const bloodMS, indicatorMS = 1578, 1532.6

// either is x or -x.
func either(lot *rand.Rand, x float64) float64 {
	if lot.Uint64()&1 == 0 {
		return -x
	}
	return x
}

// input is what the sheet and the recording tell. The duration is stated to half a
// second; no uncertainty is stated.
func (s Setup) input(lot *rand.Rand, scenario circuit.Scenario, r circuit.Recording) dilution.Input {
	l := scenario.Loop
	in := Curves(r)
	in.Loop = dilution.Loop{
		FlowMLs: l.FlowMLs * (1 + either(lot, s.LoopFlowOff)), ArteryToSensorML: l.ArteryToSensorML,
		SensorToPortML: l.SensorToPortML, PortToSensorML: l.PortToSensorML, SensorToVeinML: l.SensorToVeinML,
	}
	in.VolumeML = scenario.Injection.VolumeML * (1 + either(lot, s.VolumeOff))
	if w := s.WrongVolume; w[1] > 0 {
		in.VolumeML *= 1 + either(lot, w[0]+(w[1]-w[0])*lot.Float64())
	}
	in.DurationS = max(0.5, math.Round(2*scenario.Injection.DurationS)/2)
	in.WeightKg = scenario.WeightKg
	in.Postductal = scenario.Postductal
	return in
}

// Curves gives an input that holds the curves alone; everything else is not known.
func Curves(r circuit.Recording) dilution.Input {
	nan := math.NaN()
	curve := func(s circuit.Samples) dilution.Curve {
		return dilution.Curve{
			StartS: r.StartS, StepS: r.StepS, Values: s.Values, Unit: s.Unit, Quantum: s.Quantum,
			Lower: s.Lower, Upper: s.Upper,
		}
	}
	in := dilution.Input{
		Arterial: curve(r.Arterial), Venous: curve(r.Venous),
		DurationS: nan, WeightKg: nan, IndicatorSoundMS: nan,
		Uncertainty: dilution.Uncertainty{Volume: nan, LoopFlow: nan, Tubing: nan, Sensor: nan},
	}
	if r.Arterial.Unit == dilution.SoundSpeed {
		in.IndicatorSoundMS = indicatorMS
	}
	return in
}

// Seeds gives the seed of case i of a group: other groups and other bases have others.
func Seeds(base uint64, group string, i int) uint64 {
	x := mixed(base)
	for _, c := range []byte(group) {
		x = mixed(x ^ uint64(c))
	}
	return mixed(x + uint64(i))
}

// mixed is one step of SplitMix64 (Steele, Lea and Flood 2014, from memory).
func mixed(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}
