package dilution

import (
	"math"
	"math/rand/v2"
	"testing"
)

// bothSensors gives the curves of a recording with tubes that are a parabola in part and
// slower than stated: layer by layer, in many more layers than are fitted.
func bothSensors(part, slower, noise float64, loop Loop, durationS float64) (arterial, venous raster) {
	const layers, height = 30, 0.6
	random := rand.New(rand.NewPCG(1, 2))
	at := func(t float64) float64 { return 0.04*gammaDensity(t-4, 9, 4)*9 + 0.004*(1-math.Exp(-max(t-12, 0)/20)) }
	arterial, venous = raster{First: -100}, raster{First: -100}
	between, port := slower*(loop.SensorToPortML+loop.PortToSensorML)/loop.FlowMLs, slower*loop.PortToSensorML/loop.FlowMLs
	for i := range 900 {
		t := float64(i-100) * gridStepS
		v := 0.0
		transit := func(l int) float64 {
			return 1 / math.Sqrt((1+part)*(1+part)-4*part*(float64(l)+0.5)/layers)
		}
		for l := range layers {
			for m := range layers {
				v += at(t-(between-port)*transit(l)-port*transit(m)) / (layers * layers)
			}
			if x := port * transit(l); t > x/2 && t < durationS+x {
				v += height / layers
			}
		}
		arterial.H, arterial.Used = append(arterial.H, at(t)+noise*random.NormFloat64()), append(arterial.Used, true)
		venous.H, venous.Used = append(venous.H, v+noise*random.NormFloat64()), append(venous.Used, true)
	}
	return arterial, venous
}

func TestTubesAreSeenWhereTheIndicatorComesBack(t *testing.T) {
	loop := Loop{FlowMLs: 0.5, ArteryToSensorML: 1, SensorToPortML: 2.5, PortToSensorML: 0.5, SensorToVeinML: 1}
	for _, c := range []struct {
		name                         string
		part, slower, noise, partOff float64
	}{
		{"nearly a plug", 0.1, 1, 0, 0.06},
		{"half", 0.5, 1, 0, 0.03},
		{"nearly laminar", 0.8, 1, 0, 0.05},
		{"a loop that flows slower", 0.6, 1.07, 0, 0.05},
		{"noise", 0.6, 1, 0.0003, 0.1},
	} {
		arterial, venous := bothSensors(c.part, c.slower, c.noise, loop, 3)
		got := findTubes(arterial, venous, 0, 3, loop)
		if !got.seen || math.Abs(got.part-c.part) > c.partOff || math.Abs(got.slower-c.slower) > 0.02 {
			t.Errorf("%s: part %.2f (%g), slower %.3f (%g), seen %t", c.name, got.part, c.part, got.slower, c.slower, got.seen)
		}
	}
}

func TestTubesThatAreNotSeenAreBelieved(t *testing.T) {
	loop := Loop{FlowMLs: 0.5, ArteryToSensorML: 1, SensorToPortML: 2.5, PortToSensorML: 0.5, SensorToVeinML: 1}
	arterial, venous := bothSensors(0.9, 1, 0.05, loop, 3)
	short := raster{First: venous.First, H: venous.H[:150]}
	flat := raster{First: -100, H: make([]float64, 900)}
	broken := raster{First: -100, H: make([]float64, 900)}
	broken.H[500] = math.NaN()
	for name, c := range map[string]struct {
		arterial, venous raster
		loop             Loop
	}{
		"noise alone":      {arterial, venous, loop},
		"no curves":        {raster{}, raster{}, loop},
		"a short record":   {arterial, short, loop},
		"flat":             {flat, flat, loop},
		"no flow":          {arterial, venous, Loop{}},
		"not a number":     {arterial, broken, loop},
		"no tubes between": {arterial, venous, Loop{FlowMLs: 1, ArteryToSensorML: 1}},
	} {
		got := findTubes(c.arterial, c.venous, 0, 3, c.loop)
		if got.seen || math.Abs(got.part-partBelief.mean) > 0.15 || !finite(got.part, got.slower, got.partSD) {
			t.Errorf("%s: %+v", name, got)
		}
	}
}

func BenchmarkTubes(b *testing.B) {
	loop := Loop{FlowMLs: 0.5, ArteryToSensorML: 1, SensorToPortML: 2.5, PortToSensorML: 0.5, SensorToVeinML: 1}
	arterial, venous := bothSensors(0.6, 1, 0.0003, loop, 3)
	for b.Loop() {
		findTubes(arterial, venous, 0, 3, loop)
	}
}
