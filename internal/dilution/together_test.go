package dilution_test

import (
	"math"
	"slices"
	"testing"

	"saltmark/internal/accuracy/cases"
	"saltmark/internal/circuit"
	"saltmark/internal/dilution"
)

// session gives injections of one invented child, each with noise of its own. Of each the
// stated volume is that many times the injected one; nought repeats the first recording.
func session(t *testing.T, stated ...float64) []dilution.Measured {
	t.Helper()
	s := circuit.Population{Shunt: circuit.NoShunt, Class: circuit.To5kg}.Draw(77)
	run, err := circuit.Tanks{}.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	var all []dilution.Measured
	for i, times := range stated {
		sensor := circuit.Sensor{WhiteNoise: 0.01}
		in := cases.Curves(circuit.Recorder{Arterial: sensor, Venous: sensor}.Record(run, uint64(i)))
		in.Loop = dilution.Loop{
			FlowMLs: s.Loop.FlowMLs, ArteryToSensorML: s.Loop.ArteryToSensorML, SensorToPortML: s.Loop.SensorToPortML,
			PortToSensorML: s.Loop.PortToSensorML, SensorToVeinML: s.Loop.SensorToVeinML,
		}
		if times == 0 {
			in.Arterial, in.Venous, times = all[0].Input.Arterial, all[0].Input.Venous, 1
		}
		in.VolumeML, in.WeightKg = times*s.Injection.VolumeML, s.WeightKg
		r := dilution.Analyse(in)
		all = append(all, dilution.Measured{Input: in, Result: &r})
	}
	return all
}

// named gives the numbers of the injections of which a rule is told.
func named(all []dilution.Measured, rule string) (list []int) {
	for i, m := range all {
		if slices.ContainsFunc(m.Result.Faults, func(f dilution.Fault) bool { return f.Rule == rule }) {
			list = append(list, i+1)
		}
	}
	return list
}

func TestAWrongVolumeIsSeenBesideTheOtherInjections(t *testing.T) {
	for _, c := range []struct {
		what     string
		stated   []float64
		excluded int
		want     []int
	}{
		{"all right", []float64{1, 1, 1}, 0, nil},
		{"one injection alone", []float64{1.2}, 0, nil},
		{"a fifth too much, of two", []float64{1, 1.2}, 0, []int{1, 2}},
		{"a fifth too little, of two", []float64{0.8, 1}, 0, []int{1, 2}},
		{"a fifth too much, of three", []float64{1, 1.2, 1}, 0, []int{2}},
		{"all wrong alike", []float64{1.2, 1.2}, 0, nil},
		{"excluded for it", []float64{1, 1.2, 1}, 2, nil},
		{"each another volume", []float64{1, 1.3, 0.7}, 0, []int{1, 2, 3}},
	} {
		all := session(t, c.stated...)
		if c.excluded > 0 {
			all[c.excluded-1].Excluded = true
		}
		before := named(all, "flow-doubtful")
		dilution.Together(all)
		if got := named(all, "venous-volumes-differ"); !slices.Equal(got, c.want) {
			t.Errorf("%s: named are %v, want %v", c.what, got, c.want)
		}
		doubted := named(all, "flow-doubtful")
		for _, i := range c.want {
			if !slices.Contains(doubted, i) {
				t.Errorf("%s: the flow of %d is not doubted", c.what, i)
			}
		}
		if len(c.want) == 0 && !slices.Equal(before, doubted) {
			t.Errorf("%s: %v are doubted, %v before", c.what, doubted, before)
		}
	}
}

func TestAVolumeHalfOfWhatIsStatedMakesTheFlowDoubtful(t *testing.T) {
	all := session(t, 2)
	if named(all, "venous-area-mismatch") == nil || named(all, "flow-doubtful") == nil {
		t.Errorf("faults are %+v", all[0].Result.Faults)
	}
}

func TestOneRecordingIsOfOneInjection(t *testing.T) {
	all := session(t, 1, 1, 0)
	dilution.Together(all)
	if got := named(all, "recording-repeated"); !slices.Equal(got, []int{3}) {
		t.Fatalf("named are %v", got)
	}
	third := all[2].Result
	if !third.Spoiled() || third.Flow.Withheld != dilution.InputMissing || third.LeftToRight.Withheld == "" || len(third.Separations) > 0 || !math.IsNaN(third.Flow.Value) {
		t.Errorf("the third is %+v", third.Flow)
	}
	if all[0].Result.Flow.Withheld != "" || all[1].Result.Flow.Withheld != "" {
		t.Error("the others have no flow")
	}
}

// Every value is there, or none is: with one sensor alone nothing panics.
func TestOneSensorAloneIsComputedOrWithheld(t *testing.T) {
	in := session(t, 1)[0].Input
	alone := in
	alone.Venous = dilution.Curve{}
	r := dilution.Analyse(alone)
	if r.Flow.Withheld != "" && !math.IsNaN(r.Flow.Value) || r.Flow.Withheld == "" && !(r.Flow.Value > 0) {
		t.Errorf("the arterial sensor alone: %+v", r.Flow)
	}
	alone = in
	alone.Arterial = dilution.Curve{}
	if r := dilution.Analyse(alone); r.Flow.Withheld == "" {
		t.Errorf("the venous sensor alone: %+v", r.Flow)
	}
}
