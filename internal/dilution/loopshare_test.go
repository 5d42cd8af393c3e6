package dilution

import (
	"math"
	"testing"

	"saltmark/internal/circuit"
)

// With a body so large that nothing returns, the loop alone brings indicator back.
func TestTheLoopsReturnIsTakenOff(t *testing.T) {
	for seed := range uint64(12) {
		s := circuit.Population{Shunt: circuit.NoShunt}.Draw(seed)
		s.BloodML, s.AfterS, s.BaselineS = 1e6, 100, 0
		run, err := circuit.Kernels{}.Run(s)
		if err != nil {
			t.Fatal(err)
		}
		h := make([]float64, 1000)
		before, after := 0.0, 0.0
		for i := range h {
			h[i] = run.Arterial[i*10]
			before += h[i] * gridStepS
		}
		e := enters(s.Loop.FlowMLs, s.Loop.PortToSensorML+s.Loop.SensorToVeinML, s.Injection.VolumeML, s.Injection.DurationS)
		takeLoop(h, Loop(s.Loop), s.Injection.VolumeML, e.mean())
		for _, v := range h {
			after += v * gridStepS
		}
		want := s.Injection.VolumeML / s.FlowMLs
		t.Logf("loop %.3f before %+.4f after %+.4f", s.Loop.FlowMLs/s.FlowMLs, before/want-1, after/want-1)
		if math.Abs(after/want-1) > 0.01 {
			t.Errorf("seed %d: area %+.3f %% off", seed, 100*(after/want-1))
		}
	}
}
