package dilution

import (
	"math"
	"slices"
	"testing"

	"saltmark/internal/circuit"
)

// recorder is the usual one of the figures of accuracy, in each unit in turn.
func recorder(seed uint64) circuit.Recorder {
	sensor := circuit.Sensor{WhiteNoise: 0.01, DriftPerMin: 0.02, BloodMS: 1578, IndicatorMS: 1532.6}
	switch seed % 3 {
	case 0:
		sensor.Unit, sensor.Quantum = "1", 1e-5
	case 1:
		sensor.Unit, sensor.Quantum = "%", 1e-3
	case 2:
		sensor.Unit, sensor.Quantum = "m/s", 1e-3
	}
	r := circuit.Recorder{Arterial: sensor, Venous: sensor}
	r.Venous.DriftPerMin = -0.02
	return r
}

// inputOf is what a sheet would state of a scenario.
func inputOf(s circuit.Scenario, r circuit.Recording) Input {
	nan := math.NaN()
	curve := func(c circuit.Samples) Curve {
		return Curve{StartS: r.StartS, StepS: r.StepS, Values: c.Values, Unit: c.Unit, Quantum: c.Quantum, Lower: c.Lower, Upper: c.Upper}
	}
	return Input{
		Arterial: curve(r.Arterial), Venous: curve(r.Venous),
		Loop: Loop{
			FlowMLs: s.Loop.FlowMLs, ArteryToSensorML: s.Loop.ArteryToSensorML, SensorToPortML: s.Loop.SensorToPortML,
			PortToSensorML: s.Loop.PortToSensorML, SensorToVeinML: s.Loop.SensorToVeinML,
		},
		VolumeML: s.Injection.VolumeML, DurationS: s.Injection.DurationS, WeightKg: s.WeightKg,
		IndicatorSoundMS: 1532.6, Postductal: s.Postductal,
		Uncertainty: Uncertainty{Volume: nan, LoopFlow: nan, Tubing: nan, Sensor: nan},
	}
}

// people runs scenarios on both circuits.
func people(t *testing.T, first, n uint64, judge func(seed uint64, c circuit.Circuit, s circuit.Scenario, run circuit.Run)) {
	t.Helper()
	ran := 0
	for _, c := range []circuit.Circuit{circuit.Tanks{}, circuit.Parcels{}} {
		for seed := first; seed < first+n; seed++ {
			s := circuit.Population{}.Draw(seed)
			run, err := c.Run(s)
			if err != nil {
				continue // not everybody that is drawn can live
			}
			ran++
			judge(seed, c, s, run)
		}
	}
	if ran < int(n) {
		t.Fatalf("%d of %d scenarios ran", ran, 2*n)
	}
}

// faultsOf names what is wrong with a recording, without computing anything of it.
func faultsOf(in Input) []Fault { return prepare(in).faults(in) }

func count(t *testing.T) uint64 {
	t.Helper()
	if testing.Short() {
		return 4
	}
	return 12
}

func TestEveryFaultIsNamedByItsRule(t *testing.T) {
	n, missed := map[string]int{}, map[string]int{}
	people(t, 700, count(t), func(seed uint64, c circuit.Circuit, s circuit.Scenario, run circuit.Run) {
		for _, spoiling := range circuit.Spoilings() {
			n[spoiling.Name]++
			faults := faultsOf(inputOf(s, spoiling.Record(run, recorder(seed), seed)))
			if !slices.ContainsFunc(faults, func(f Fault) bool { return f.Rule == spoiling.Name }) {
				missed[spoiling.Name]++
				t.Logf("%s, seed %d: %s is not among %+v", c.Name(), seed, spoiling.Name, faults)
			}
		}
	})
	// Where a curve has come down to a plateau that is level anyhow, nobody sees that the
	// blood stands; the figures of accuracy say how often it is told.
	sometimes := map[string]int{"blood-stands": n["blood-stands"] / 4}
	for name, m := range missed {
		if m > n[name]/20+1+sometimes[name] {
			t.Errorf("%s is missed in %d of %d", name, m, n[name])
		}
	}
}

func TestRecordsWithoutAFaultAreQuiet(t *testing.T) {
	conditions := map[string]func(*circuit.Recorder){
		"usual":         func(*circuit.Recorder) {},
		"perfect":       func(r *circuit.Recorder) { r.Arterial, r.Venous = circuit.Sensor{}, circuit.Sensor{} },
		"noise of 3 %":  func(r *circuit.Recorder) { r.Arterial.WhiteNoise, r.Venous.WhiteNoise = 0.03, 0.03 },
		"slow noise":    func(r *circuit.Recorder) { r.Arterial.SlowNoise, r.Venous.SlowNoise = 0.01, 0.01 },
		"25 Hz":         func(r *circuit.Recorder) { r.RateHz = 25 },
		"lost samples":  func(r *circuit.Recorder) { r.Arterial.Missing, r.Venous.Missing, r.JitterS = 0.01, 0.01, 0.002 },
		"noted late":    func(r *circuit.Recorder) { r.NotedLateS = 4 },
		"coarse values": func(r *circuit.Recorder) { r.Arterial.Unit, r.Arterial.Quantum = "%", 0.05 },
		"bending drift": func(r *circuit.Recorder) {
			r.Arterial.Bend, r.Arterial.BendS, r.Venous.Bend, r.Venous.BendS = 0.04, 30, -0.04, 50
		},
	}
	records, loud := 0, 0
	people(t, 800, count(t), func(seed uint64, c circuit.Circuit, s circuit.Scenario, run circuit.Run) {
		for name, change := range conditions {
			r := recorder(seed)
			change(&r)
			records++
			if faults := faultsOf(inputOf(s, r.Record(run, seed))); len(faults) > 0 {
				loud++
				t.Logf("%s, seed %d, %s: %+v", c.Name(), seed, name, faults)
			}
		}
	})
	if loud > len(conditions) { // one odd person in all conditions
		t.Errorf("%d of %d records are loud", loud, records)
	}
}

func TestFaultsNameOnlyRulesAndSpoilOnlyWhereTheRuleMay(t *testing.T) {
	rules := map[string]Rule{}
	for _, r := range Rules() {
		rules[r.ID] = r
	}
	people(t, 900, 2, func(seed uint64, _ circuit.Circuit, s circuit.Scenario, run circuit.Run) {
		for _, spoiling := range circuit.Spoilings() {
			if _, ok := rules[spoiling.Name]; !ok {
				t.Errorf("there is no rule %s", spoiling.Name)
			}
			for _, f := range faultsOf(inputOf(s, spoiling.Record(run, recorder(seed), seed))) {
				if r, ok := rules[f.Rule]; !ok || f.Spoils && !r.MaySpoil {
					t.Errorf("%+v", f)
				}
			}
		}
	})
}
