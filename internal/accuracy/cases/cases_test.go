package cases

import (
	"math"
	"slices"
	"testing"

	"saltmark/internal/circuit"
	"saltmark/internal/dilution"
)

// steady is a circuit with one curve for everybody.
type steady struct{}

func (steady) Name() string { return "steady" }

func (steady) Run(s circuit.Scenario) (circuit.Run, error) {
	r := circuit.Run{StartS: -20, StepS: 0.01, Truth: circuit.Truth{FlowMLs: s.FlowMLs}}
	for i := range 8000 {
		t := r.StartS + float64(i)*r.StepS
		h := 0.0
		if t > 4 {
			h = 0.01 * (t - 4) * math.Exp(-(t-4)/3)
		}
		r.Arterial, r.Venous = append(r.Arterial, h), append(r.Venous, 3*h)
	}
	return r, nil
}

func TestTheSameSeedMakesTheSameCase(t *testing.T) {
	setup := Setup{Recording: Usual()}
	a, err := Make(steady{}, setup, 5)
	if err != nil {
		t.Fatal(err)
	}
	b, _ := Make(steady{}, setup, 5)
	other, _ := Make(steady{}, setup, 6)
	if a.Scenario != b.Scenario || a.Input.VolumeML != b.Input.VolumeML || a.Input.Arterial.StartS != b.Input.Arterial.StartS {
		t.Error("the same seed makes another case")
	}
	for i, v := range a.Input.Arterial.Values {
		if math.Float64bits(v) != math.Float64bits(b.Input.Arterial.Values[i]) {
			t.Fatalf("sample %d differs", i)
		}
	}
	if a.WeightKg == other.WeightKg {
		t.Error("another seed makes the same person")
	}
}

func TestTheInputStatesWhatTheSheetWould(t *testing.T) {
	below, above := 0, 0
	for seed := range uint64(200) {
		setup := Setup{Recording: Usual(), LoopFlowOff: 0.1, VolumeOff: 0.05}
		c, err := Make(steady{}, setup, seed)
		if err != nil {
			t.Fatal(err)
		}
		in := c.Input
		if got := math.Abs(in.Loop.FlowMLs/c.Loop.FlowMLs - 1); math.Abs(got-0.1) > 1e-9 {
			t.Fatalf("loop flow off by %g", got)
		}
		if got := in.VolumeML/c.Injection.VolumeML - 1; math.Abs(math.Abs(got)-0.05) > 1e-9 {
			t.Fatalf("volume off by %g", got)
		} else if got < 0 {
			below++
		} else {
			above++
		}
		if math.Abs(in.DurationS-c.Injection.DurationS) > 0.251 || in.WeightKg != c.WeightKg || in.Postductal != c.Postductal {
			t.Fatalf("%+v", in)
		}
		if off := in.Arterial.StartS - c.Run.StartS; math.Abs(off) > 1 || in.Venous.StartS != in.Arterial.StartS {
			t.Fatalf("the noted time is %g s off", off)
		}
		if in.Arterial.Unit != dilution.Fraction || !math.IsNaN(in.Uncertainty.Volume) || !math.IsNaN(in.IndicatorSoundMS) {
			t.Fatalf("%s, %+v", in.Arterial.Unit, in.Uncertainty)
		}
	}
	if below < 60 || above < 60 {
		t.Errorf("the direction by lot: %d below, %d above", below, above)
	}
}

func TestAlterChangesTheScenarioBeforeItRuns(t *testing.T) {
	c, err := Make(steady{}, Setup{Alter: func(s *circuit.Scenario) { s.FlowMLs = 3 }}, 1)
	if err != nil || c.Truth().FlowMLs != 3 {
		t.Errorf("flow %g, %v", c.Truth().FlowMLs, err)
	}
}

func TestSpeedOfSoundBringsWhatItNeeds(t *testing.T) {
	c, err := Make(steady{}, Setup{Recording: Recording{Unit: dilution.SoundSpeed}}, 1)
	if err != nil || c.Input.Arterial.Unit != dilution.SoundSpeed || !(c.Input.IndicatorSoundMS > 1500) || !(c.Input.Arterial.Values[0] > 1560) {
		t.Errorf("%v %v, %v", c.Input.IndicatorSoundMS, c.Input.Arterial.Values[0], err)
	}
}

func TestGroupsHaveSeedsOfTheirOwn(t *testing.T) {
	seen := map[uint64]bool{}
	for _, base := range []uint64{1, 2} {
		for _, group := range []string{"", "a", "b", "ab"} {
			for i := range 100 {
				seen[Seeds(base, group, i)] = true
			}
		}
	}
	if len(seen) != 800 {
		t.Errorf("%d seeds of 800 are different", len(seen))
	}
}

func TestASpoiledCaseIsOfTheSamePersonWithAnotherRecording(t *testing.T) {
	usual := Setup{Recording: Usual()}
	swapped := usual
	swapped.Spoil = "sensors-swapped"
	a, err := Make(steady{}, usual, 4)
	if err != nil {
		t.Fatal(err)
	}
	b, err := Make(steady{}, swapped, 4)
	if err != nil {
		t.Fatal(err)
	}
	if a.Scenario != b.Scenario || a.Input.VolumeML != b.Input.VolumeML {
		t.Error("another person")
	}
	if highest(b.Input.Arterial.Values) < 2*highest(b.Input.Venous.Values) {
		t.Error("the sensors are not exchanged")
	}
	swapped.Spoil = "nothing-like-it"
	if _, err := Make(steady{}, swapped, 4); err == nil {
		t.Error("an unknown spoiling is no error")
	}
}

func highest(values []float64) (top float64) {
	for _, v := range values {
		top = max(top, v)
	}
	return top
}

func TestASecondInjectionIsOfTheSameChildAndItsSheetIsRight(t *testing.T) {
	setup := Setup{Recording: Usual(), WrongVolume: [2]float64{0.2, 0.6}}
	for seed := range uint64(6) {
		made, err := Make(circuit.Tanks{}, setup, seed)
		if err != nil {
			t.Fatal(err)
		}
		again := made.Again(setup, seed)
		if off := math.Abs(made.Input.VolumeML/made.Injection.VolumeML - 1); off < 0.2 || off > 0.6 || again.Input.VolumeML != made.Injection.VolumeML {
			t.Errorf("seed %d: volumes %v and %v, given %v", seed, made.Input.VolumeML, again.Input.VolumeML, made.Injection.VolumeML)
		}
		if again.Truth().FlowMLs != made.Truth().FlowMLs || slices.Equal(again.Input.Arterial.Values, made.Input.Arterial.Values) {
			t.Errorf("seed %d: another child, or the same recording", seed)
		}
	}
}
