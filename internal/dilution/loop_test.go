package dilution

import (
	"math"
	"math/rand/v2"
)

// plain is a crude closed circulation for tests of what needs no better one: plugs for
// tubes, four tanks for heart and lungs, six for the body.
type plain struct {
	flowMLs, centralML, bodyML float64
	loop                       Loop
	volumeML, durationS        float64
	baselineS, afterS          float64
}

// infant is a circulation of 3.5 kg.
func infant() plain {
	return plain{
		flowMLs: 12, centralML: 50, bodyML: 230,
		loop:     Loop{FlowMLs: 0.4, ArteryToSensorML: 0.8, SensorToPortML: 0.3, PortToSensorML: 0.3, SensorToVeinML: 0.8},
		volumeML: 3, durationS: 3, baselineS: 30, afterS: 90,
	}
}

// run gives the concentrations at both sensors, 100 a second, without noise.
func (c plain) run() (arterial, venous []float64) {
	const step = 0.001
	n := int(c.afterS / step)
	central, body := make([]float64, 4), make([]float64, 6)
	artery, port, pumped := make([]float64, n), make([]float64, n), make([]float64, n)
	back := int((c.loop.ArteryToSensorML + c.loop.SensorToPortML) / c.loop.FlowMLs / step)
	seen := int(c.loop.ArteryToSensorML / c.loop.FlowMLs / step)
	before := int(c.baselineS * 100)
	arterial, venous = make([]float64, before), make([]float64, before)
	var at, atVein int
	for i := range n {
		q := 0.0
		if float64(i)*step < c.durationS {
			q = c.volumeML / c.durationS
		}
		if i >= back {
			port[i] = artery[i-back] * c.loop.FlowMLs / (c.loop.FlowMLs + q)
		}
		port[i] += q / (c.loop.FlowMLs + q)
		pumped[i] = (c.loop.FlowMLs + q) * step
		if i > 0 {
			pumped[i] += pumped[i-1]
		}
		at, atVein = follow(pumped, at, i, c.loop.PortToSensorML), follow(pumped, atVein, i, c.loop.PortToSensorML+c.loop.SensorToVeinML)
		in := port[atVein] * (c.loop.FlowMLs + q)
		if pumped[i] < c.loop.PortToSensorML+c.loop.SensorToVeinML {
			in = 0
		}
		total := c.flowMLs + q
		in += body[5] * (c.flowMLs - c.loop.FlowMLs)
		tanks(central, in/total, total*step/(c.centralML/4))
		artery[i] = central[3]
		tanks(body, artery[i], (c.flowMLs-c.loop.FlowMLs)*step/(c.bodyML/6))
		if i%10 == 0 {
			a, v := 0.0, port[at]
			if i >= seen {
				a = artery[i-seen]
			}
			if pumped[i] < c.loop.PortToSensorML {
				v = 0
			}
			arterial, venous = append(arterial, a), append(venous, v)
		}
	}
	return arterial, venous
}

// follow moves a pointer to what was pumped so much volume ago.
func follow(pumped []float64, at, now int, volume float64) int {
	for at < now && pumped[at+1] <= pumped[now]-volume {
		at++
	}
	return at
}

// tanks moves a share of each tank on.
func tanks(tank []float64, in, share float64) {
	for i := range tank {
		out := tank[i]
		tank[i] += (in - out) * share
		in = out
	}
}

// input makes curves of it, with white noise as part of the peak of each sensor.
func (c plain) input(noise float64, seed uint64) Input {
	a, v := c.run()
	r := rand.New(rand.NewPCG(seed, 0))
	return Input{
		Arterial: c.curve(a, noise, r), Venous: c.curve(v, noise, r),
		Loop: c.loop, VolumeML: c.volumeML, DurationS: c.durationS, WeightKg: 3.5, IndicatorSoundMS: math.NaN(),
		Uncertainty: Uncertainty{math.NaN(), math.NaN(), math.NaN(), math.NaN()},
	}
}

func (c plain) curve(h []float64, noise float64, r *rand.Rand) Curve {
	peak := 0.0
	for _, v := range h {
		peak = max(peak, v)
	}
	values := make([]float64, len(h))
	for i, v := range h {
		values[i] = v + noise*peak*r.NormFloat64()
	}
	return Curve{StartS: -c.baselineS, StepS: 0.01, Values: values, Unit: Fraction, Lower: math.NaN(), Upper: math.NaN()}
}
