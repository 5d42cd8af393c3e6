package main

import (
	"fmt"
	"slices"

	"saltmark/internal/accuracy/cases"
	"saltmark/internal/circuit"
)

// circuits are those that the figures are published of.
func circuits() []circuit.Circuit { return []circuit.Circuit{circuit.Tanks{}, circuit.Parcels{}} }

// group is a number of cases of one setup. Circuits share the seeds of a group, so that
// they run the same people.
type group struct {
	name string
	// condition is what is otherwise than usual, "" for the main figures.
	condition string
	setup     cases.Setup
	n         int
	// on is the circuit that it runs on, nil for each.
	on circuit.Circuit
}

// mainGroups are 1,000 without shunt and 400 of each other kind.
func mainGroups() (groups []group) {
	for _, shunt := range circuit.Shuntings() {
		n := 400
		if shunt == circuit.NoShunt {
			n = 1000
		}
		groups = append(groups, group{
			name: shunt.String(), n: n,
			setup: cases.Setup{Population: circuit.Population{Shunt: shunt}, Recording: cases.Usual()},
		})
	}
	return groups
}

// condition is one row of the second table: a disturbance, or something of the usual
// that is taken away.
type condition struct {
	name  string
	apply func(*cases.Setup)
}

func alter(name string, change func(*circuit.Scenario)) condition {
	return condition{name, func(s *cases.Setup) { s.Alter = change }}
}

func record(name string, change func(*cases.Recording)) condition {
	return condition{name, func(s *cases.Setup) { change(&s.Recording) }}
}

// slowAndBending is the condition under which the distribution volume has its goal too.
const slowAndBending = "slow noise 1 %, bending drift"

func conditions() []condition {
	return []condition{
		record("perfect sensors", func(r *cases.Recording) { *r = cases.Recording{RateHz: 100} }),
		record("bending drift", func(r *cases.Recording) { r.Bend = 0.04 }),
		record("slow noise 0.5 %", func(r *cases.Recording) { r.SlowNoise = 0.005 }),
		record("slow noise 1 %", func(r *cases.Recording) { r.SlowNoise = 0.01 }),
		record(slowAndBending, func(r *cases.Recording) { r.SlowNoise, r.Bend = 0.01, 0.04 }),
		record("noise 3 %", func(r *cases.Recording) { r.WhiteNoise = 0.03 }),
		record("noise 1 % of each curve's own peak", func(r *cases.Recording) { r.OwnPeak = true }),
		record("25 Hz", func(r *cases.Recording) { r.RateHz = 25 }),
		record("50 Hz", func(r *cases.Recording) { r.RateHz = 50 }),
		record("samples lost 1 %, jitter 2 ms", func(r *cases.Recording) { r.Missing, r.JitterS = 0.01, 0.002 }),
		record("sensors off by 3 %", func(r *cases.Recording) { r.GainOff = 0.03 }),
		record("injection noted up to 5 s off", func(r *cases.Recording) { r.NotedOffS = 5 }),
		{"loop flow off by 10 %", func(s *cases.Setup) { s.LoopFlowOff = 0.1 }},
		{"injected volume off by 5 %", func(s *cases.Setup) { s.VolumeOff = 0.05 }},
		alter("flow swings 10 %", func(s *circuit.Scenario) { s.State.BreathingShare = 0.10 }),
		alter("flow swings 25 %", func(s *circuit.Scenario) { s.State.BreathingShare = 0.25 }),
		alter("irregular rhythm", func(s *circuit.Scenario) { s.State.Irregularity = 0.2 }),
		alter("flow rises 10 % a minute", func(s *circuit.Scenario) { s.State.DriftPerMin = 0.1 }),
		alter("flow falls 10 % a minute", func(s *circuit.Scenario) { s.State.DriftPerMin = -0.1 }),
		alter("tricuspid leak 30 %", func(s *circuit.Scenario) { s.Leaks.Tricuspid = 0.3 }),
		alter("mitral leak 30 %", func(s *circuit.Scenario) { s.Leaks.Mitral = 0.3 }),
		alter("aortic leak 20 %", func(s *circuit.Scenario) { s.Leaks.Aortic = 0.2 }),
		alter("caval flow does not stream", func(s *circuit.Scenario) { s.Streaming = 0 }),
		alter("caval flow streams 60 %", func(s *circuit.Scenario) { s.Streaming = 0.6 }),
		alter("steady flow", func(s *circuit.Scenario) { s.State = circuit.State{} }),
		alter("even injection that raises no flow", func(s *circuit.Scenario) {
			s.Injection.Unevenness, s.Injection.RaisesFlow = 0, false
		}),
		alter("short tubes", func(s *circuit.Scenario) {
			for _, ml := range []*float64{&s.Loop.ArteryToSensorML, &s.Loop.PortToSensorML, &s.Loop.SensorToVeinML} {
				*ml *= 0.2
			}
		}),
	}
}

// withoutGroups take one structure of a circuit away at a time, to see what an error
// comes from.
func withoutGroups(c circuit.Circuit) (groups []group) {
	for _, structure := range circuit.Structures() {
		less := without(c, structure)
		if less == nil {
			continue
		}
		for _, shunt := range []circuit.Shunting{circuit.NoShunt, circuit.AtrialLeftToRight, circuit.VentricularLeftToRight, circuit.DuctalLeftToRight} {
			n := 50
			if shunt == circuit.NoShunt {
				n = 150
			}
			groups = append(groups, group{
				name: shunt.String(), condition: withoutName(structure), n: n, on: less,
				setup: cases.Setup{Population: circuit.Population{Shunt: shunt}, Recording: cases.Usual()},
			})
		}
	}
	return groups
}

// without gives a circuit less a structure, nil where it never had it.
func without(c circuit.Circuit, structure circuit.Structure) circuit.Circuit {
	switch c := c.(type) {
	case circuit.Parcels:
		return c.Without(structure)
	case circuit.Tanks:
		if c.Has(structure) {
			return c.Without(structure)
		}
	}
	return nil
}

func withoutName(s circuit.Structure) string { return "without " + s.String() }

// disturbedGroups are those of the second table: each condition without shunt and with
// each left-to-right shunt.
func disturbedGroups() (groups []group) {
	shunts := []circuit.Shunting{circuit.NoShunt, circuit.AtrialLeftToRight, circuit.VentricularLeftToRight, circuit.DuctalLeftToRight}
	for _, c := range conditions() {
		for _, shunt := range shunts {
			setup := cases.Setup{Population: circuit.Population{Shunt: shunt}, Recording: cases.Usual()}
			c.apply(&setup)
			n := 50
			if shunt == circuit.NoShunt {
				n = 150
			}
			if c.name == slowAndBending {
				n *= 4 // it has a goal
			}
			groups = append(groups, group{name: shunt.String(), condition: c.name, setup: setup, n: n})
		}
	}
	return groups
}

// spoiled marks the condition of recordings in which something went wrong.
const spoiled = "spoiled: "

// spoiledGroups have 250 recordings for each thing that can go wrong, of everybody with
// whatever shunt.
func spoiledGroups() (groups []group) {
	for _, s := range circuit.Spoilings() {
		groups = append(groups, group{
			name: "spoiled", condition: spoiled + s.Name, n: 250,
			setup: cases.Setup{Recording: cases.Usual(), Spoil: s.Name},
		})
	}
	return groups
}

// wrongVolume is the condition of sheets that state another volume than was given, beside a
// second injection whose volume is right.
const wrongVolume = "volume on the sheet off by 20 to 60 %"

// mistakenGroups have 250 such sheets.
func mistakenGroups() []group {
	return []group{{
		name: "mistaken", condition: wrongVolume, n: 250,
		setup: cases.Setup{Recording: cases.Usual(), WrongVolume: [2]float64{0.2, 0.6}},
	}}
}

// thinned leaves a part of each group, for a quick look.
func thinned(groups []group, part float64) []group {
	out := slices.Clone(groups)
	for i := range out {
		out[i].n = max(10, int(float64(out[i].n)*part))
	}
	return out
}

// seedOf gives the seed of case i of a group.
func (g group) seedOf(base uint64, i int) uint64 {
	return cases.Seeds(base, fmt.Sprintf("%s/%s", g.condition, g.name), i)
}
