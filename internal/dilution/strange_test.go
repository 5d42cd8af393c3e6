package dilution

import (
	"math"
	"testing"
)

// A step that stays is like no circulation: what is said of it must be told as doubtful,
// and rest on nothing learned.
func TestAStrangeCurveGetsNothingLearned(t *testing.T) {
	nan := math.NaN()
	n := 11000
	arterial, venous := make([]float64, n), make([]float64, n)
	for i := range arterial {
		at := float64(i)*0.01 - 20
		if at > 0.5 && at < 2.5 {
			venous[i] = 0.8
		}
		if at > 8 && at < 8.6 || at > 30 && at < 30.6 || at > 55 && at < 55.4 {
			arterial[i] = 0.05
		}
	}
	r := Analyse(Input{
		Arterial: Curve{StartS: -20, StepS: 0.01, Values: arterial, Unit: Fraction, Lower: nan, Upper: nan},
		Venous:   Curve{StartS: -20, StepS: 0.01, Values: venous, Unit: Fraction, Lower: nan, Upper: nan},
		Loop:     Loop{FlowMLs: 0.3, ArteryToSensorML: 0.3, SensorToPortML: 1.5, PortToSensorML: 0.15, SensorToVeinML: 0.3},
		VolumeML: 2.4, DurationS: 2, WeightKg: 3, IndicatorSoundMS: nan, Uncertainty: Uncertainty{nan, nan, nan, nan},
	})
	told := r.Spoiled()
	for _, f := range r.Faults {
		told = told || f.Rule == "flow-doubtful"
	}
	if !told || r.CentralML.Withheld == "" || r.LeftToRight.Withheld == "" {
		t.Errorf("flow %+v, central volume %+v, sign %+v, faults %+v", r.Flow, r.CentralML, r.LeftToRight, r.Faults)
	}
}

func TestTheMiddleSeparationStandsInWithAWideSpread(t *testing.T) {
	r := Result{Separations: []Separation{{FlowMLs: 10}, {FlowMLs: 30}, {FlowMLs: 11}, {FlowMLs: 99, Withheld: NotComputable}}}
	r.fallBack()
	if r.Flow.Value != 11 || r.Flow.SD < 9 || r.Transit.Withheld == "" {
		t.Errorf("%+v", r.Flow)
	}
	r = Result{Separations: []Separation{{FlowMLs: 10}, {FlowMLs: 12}}}
	if r.fallBack(); r.Flow.Value != 11 || math.Abs(r.Flow.SD-11*strangeSD) > 1e-12 {
		t.Errorf("%+v", r.Flow)
	}
}
