// Package rehearsal invents measurements for practice, tests and load: a sheet as
// somebody at the bedside would fill it in, the recordings of both sensors beside it,
// and what was true.
//
// People are drawn from circuit.Population, a simulated circulation is run for each
// injection, and the numbers that the monitor reports are the truth with an error of
// its own (3 % a session and 2 % an injection, standard deviations; common practice,
// no source). Some sessions have one mistake, of a table with what is to be found of it.
// Everything is invented, says so, and is marked as test data.
//
// A session depends on the options, its seed and its number alone: same bytes on every
// machine of one architecture, in whatever order sessions are made.
package rehearsal

import (
	"fmt"
	"math"
	"math/rand/v2"

	"saltmark/internal/circuit"
	"saltmark/internal/site"
	"saltmark/internal/trace"
)

// Options says what is rehearsed.
type Options struct {
	Seed uint64
	// Circuits run the sessions in turn; there is at least one.
	Circuits []circuit.Circuit
	// Mistakes is the part of the sessions, 0 to 1, in which something went wrong.
	Mistakes float64
	// RateHz is how many samples a second the sensors give.
	RateHz float64
}

// File is one file, its name below the folder of the rehearsal with slashes.
type File struct {
	Name string
	Text []byte
}

// Session is one rehearsed session.
type Session struct {
	ID string
	// Files are the sheet and then the recordings that it names.
	Files []File
	// Truth has a row for each injection.
	Truth []Row
}

// session is one in the making.
type session struct {
	number   int
	id       string
	lot      *rand.Rand
	circuit  circuit.Circuit
	scenario circuit.Scenario
	set      string
	mistake  mistake

	// What the sheet states, and the mistake may change.
	ratePerMin float64
	verifier   string
	levels     [3]string // atrial, ventricular, ductal
	injections []injection
	flowBias   float64
}

// injection is one injection with what was recorded and what is stated of it.
type injection struct {
	run       circuit.Run
	recording circuit.Recording
	scenario  circuit.Scenario
	volume    string
	at        string
	excluded  string
	// flowLMin and centralML are what the monitor reports; NaN is nothing.
	flowLMin, centralML float64
	// noted says what went wrong here, "" where nothing did.
	mistake string
}

// New makes a session.
func New(o Options, number int) (Session, error) {
	s := &session{
		number: number, id: fmt.Sprintf("rehearsal-%d-%05d", o.Seed, number),
		lot:     rand.New(rand.NewPCG(o.Seed, uint64(number))),
		circuit: o.Circuits[number%len(o.Circuits)],
	}
	s.scenario, s.set = drawScenario(s.lot)
	s.state()
	if s.lot.Float64() < o.Mistakes {
		all := mistakes()
		s.mistake = all[s.lot.IntN(len(all))]
	}
	if err := s.inject(o.RateHz); err != nil {
		return Session{}, fmt.Errorf("%s: %w", s.id, err)
	}
	if s.mistake.change != nil {
		s.mistake.change(s)
	}
	return s.written()
}

// drawScenario draws until the flow is one that no sheet would have to confirm, with the
// tubes of a set of the demo settings.
func drawScenario(lot *rand.Rand) (circuit.Scenario, string) {
	for {
		people := circuit.Population{Shunt: circuit.NoShunt}
		if lot.Float64() < 0.69 {
			people.Shunt = circuit.AnyShunting // of which one in eight has none
		}
		s := people.Draw(lot.Uint64())
		if perKg := s.FlowMLs * 60 / s.WeightKg; perKg < 45 || perKg > 450 {
			continue
		}
		// Sheets state whole mL/min and tenths of a mL, so that is what is done.
		s.Loop.FlowMLs = max(1, math.Round(s.Loop.FlowMLs*60)) / 60
		s.Injection.VolumeML = math.Max(0.3, math.Round(s.Injection.VolumeML*10)/10)
		s.BaselineS, s.AfterS = 30+15*lot.Float64(), 90
		set := "set-a"
		if s.WeightKg >= 10 {
			set = "set-b"
		}
		values := site.Demo().Loops[set].Values
		for measure, ml := range map[string]*float64{
			"artery-to-sensor-volume": &s.Loop.ArteryToSensorML, "sensor-to-port-volume": &s.Loop.SensorToPortML,
			"port-to-sensor-volume": &s.Loop.PortToSensorML, "sensor-to-vein-volume": &s.Loop.SensorToVeinML,
		} {
			*ml, _ = values[measure].Quantity.Rat().Float64()
		}
		return s, set
	}
}

// state writes down who was measured and what is known of shunts.
func (s *session) state() {
	s.ratePerMin = s.scenario.HeartRatePerMin
	s.verifier = "demo-person-9"
	c := s.scenario.Shunts
	for i, crossing := range []circuit.Crossing{c.Atrial, c.Ventricular, c.Ductal} {
		s.levels[i] = levelText(crossing)
	}
	if s.lot.Float64() < 0.05 { // nobody looked at one of them
		s.levels[s.lot.IntN(3)] = "not-seen"
	}
	s.flowBias = 1 + 0.03*s.lot.NormFloat64()
}

// levelText is what the sheet says of a level.
func levelText(c circuit.Crossing) string {
	switch {
	case c.LeftToRight > 0 && c.RightToLeft > 0:
		return "{state: open, direction: bidirectional}"
	case c.LeftToRight > 0:
		return "{state: open, direction: left-to-right}"
	case c.RightToLeft > 0:
		return "{state: open, direction: right-to-left}"
	}
	return "closed"
}

// inject runs each injection: the same circulation, with its own hand and beats.
func (s *session) inject(rateHz float64) error {
	count := 2 + s.mistake.more
	noise := 0.004 + 0.012*s.lot.Float64()
	for i := range count {
		scenario := s.scenario
		scenario.Seed = s.lot.Uint64()
		scaled(&scenario, 1+0.015*s.lot.NormFloat64())
		scenario.Injection.DurationS = math.Max(1, scenario.Injection.DurationS*(1+0.1*s.lot.NormFloat64()))
		run, err := s.circuit.Run(scenario)
		if err != nil {
			return err
		}
		recorder := circuit.Recorder{Arterial: sensor(s.lot, noise), Venous: sensor(s.lot, noise), RateHz: rateHz, NotedLateS: s.lot.Float64() - 0.5}
		j := injection{run: run, scenario: scenario, at: s.clock(4 + 6*i), volume: fmt.Sprintf("%.1f mL", scenario.Injection.VolumeML)}
		seed := s.lot.Uint64()
		j.recording = recorder.Record(run, seed)
		if spoiling, ok := circuit.SpoilingOf(s.mistake.spoils); ok && i == 1 {
			j.recording, j.mistake = spoiling.Record(run, recorder, seed), s.mistake.name
		}
		j.flowLMin = run.Truth.FlowMLs * 0.06 * s.flowBias * (1 + 0.02*s.lot.NormFloat64())
		j.centralML = run.Truth.CentralML * (1 + 0.04*s.lot.NormFloat64())
		s.injections = append(s.injections, j)
	}
	return nil
}

// scaled changes the flow and what crosses with it.
func scaled(s *circuit.Scenario, by float64) {
	s.FlowMLs *= by
	for _, c := range []*circuit.Crossing{&s.Shunts.Atrial, &s.Shunts.Ventricular, &s.Shunts.Ductal} {
		c.LeftToRight, c.RightToLeft = c.LeftToRight*by, c.RightToLeft*by
	}
}

// sensor draws a sensor in per cent, with noise and a straight drift as parts of the
// peak.
func sensor(lot *rand.Rand, noise float64) circuit.Sensor {
	return circuit.Sensor{
		WhiteNoise: noise, SlowNoise: 0.002, DriftPerMin: 0.02 * (2*lot.Float64() - 1),
		GainError: 0.01 * lot.NormFloat64(), Unit: "%", BendS: 30,
	}
}

// csv is the text of a recording, three decimals of a per cent.
func csv(r circuit.Recording) ([]byte, error) {
	var series []trace.Series
	for _, of := range []struct {
		name    string
		samples circuit.Samples
	}{{trace.Arterial, r.Arterial}, {trace.Venous, r.Venous}} {
		decimals := 3
		if of.samples.Unit == "1" {
			decimals = 5
		}
		one, err := trace.Uniform(of.name, of.samples.Unit, r.StartS, r.StepS, of.samples.Values, decimals)
		if err != nil {
			return nil, err
		}
		series = append(series, one)
	}
	text, err := trace.WriteCSV(series)
	if err != nil {
		return nil, err
	}
	return append([]byte("# Simulated curve of a rehearsal; nobody was measured.\n"), text...), nil
}
