package circuit

import (
	"math"
	"testing"
)

func TestEverySpoilingChangesTheRecordingTheSameForTheSameSeed(t *testing.T) {
	run := hump()
	s := Sensor{WhiteNoise: 0.01, Unit: "m/s", BloodMS: 1578, IndicatorMS: 1532.6}
	r := Recorder{Arterial: s, Venous: s}
	for _, spoiling := range Spoilings() {
		t.Run(spoiling.Name, func(t *testing.T) {
			for seed := range uint64(8) {
				a, b := spoiling.Record(run, r, seed), spoiling.Record(run, r, seed)
				if !equalSamples(a.Arterial, b.Arterial) || !equalSamples(a.Venous, b.Venous) || a.StartS != b.StartS {
					t.Fatalf("seed %d is not the same twice", seed)
				}
				clean := Spoiling{}.Record(run, r, seed)
				if equalSamples(a.Arterial, clean.Arterial) && equalSamples(a.Venous, clean.Venous) && a.StartS == clean.StartS {
					t.Errorf("seed %d spoils nothing", seed)
				}
			}
		})
	}
	if peakOf(run.Arterial) != peakOf(hump().Arterial) {
		t.Error("the run itself was spoiled")
	}
}

func equalSamples(a, b Samples) bool {
	if len(a.Values) != len(b.Values) || a.Unit != b.Unit {
		return false
	}
	for i := range a.Values {
		if math.Float64bits(a.Values[i]) != math.Float64bits(b.Values[i]) {
			return false
		}
	}
	return true
}

func TestSpoilingsAreFoundByName(t *testing.T) {
	if s, ok := SpoilingOf("curve-clipped"); !ok || s.Name != "curve-clipped" {
		t.Error("curve-clipped is not found")
	}
	if _, ok := SpoilingOf("nothing"); ok {
		t.Error("what is not there is found")
	}
}
