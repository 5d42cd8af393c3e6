package circuit

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
)

// passage is the Laplace transform of a passage of transit times.
type passage func(s complex128) complex128

// atOnce takes no time.
func atOnce(complex128) complex128 { return 1 }

// delay passes all at one time.
func delayed(mean float64) passage {
	return func(s complex128) complex128 { return cmplx.Exp(-s * complex(mean, 0)) }
}

// tanks in a row with a mean in all: (1 + s mean/n)^-n; n need not be whole.
func tankRow(mean, n float64) passage {
	return func(s complex128) complex128 {
		return cmplx.Exp(complex(-n, 0) * cmplx.Log(1+s*complex(mean/n, 0)))
	}
}

// dispersed is advection with dispersion, the inverse Gaussian passage; spread is its
// variance over the mean squared.
func dispersedWay(mean, spread float64) passage {
	if spread <= 0 {
		return delayed(mean)
	}
	return func(s complex128) complex128 {
		return cmplx.Exp(complex(1/spread, 0) * (1 - cmplx.Sqrt(1+s*complex(2*mean*spread, 0))))
	}
}

// laminar has ten layers of equal flow; the time of each is the mean over its part of
// the passage F(t) = 1 - (mean/2t)^2 of a parabolic profile.
func laminarWay(mean float64) passage {
	const layers = 10
	var times [layers]float64
	for i := range times {
		// The mean of (mean/2)/sqrt(1-q) between the two quantiles.
		from, to := float64(i)/layers, float64(i+1)/layers
		times[i] = mean * layers * (math.Sqrt(1-from) - math.Sqrt(1-to))
	}
	return func(s complex128) complex128 {
		var sum complex128
		for _, t := range times {
			sum += cmplx.Exp(-s * complex(t, 0))
		}
		return sum / layers
	}
}

// inRow passes one passage after the other.
func seriesOf(a, b passage) passage { return func(s complex128) complex128 { return a(s) * b(s) } }

// mixed splits the flow; part takes the first.
func splitOf(part float64, a, b passage) passage {
	return func(s complex128) complex128 { return complex(part, 0)*a(s) + complex(1-part, 0)*b(s) }
}

// exchanging lets indicator leave for the tissue and come back.
func withTissue(a passage, uptake, rate float64) passage {
	return func(s complex128) complex128 {
		return a(s) * cmplx.Exp(-complex(uptake, 0)*s/(s+complex(rate, 0)))
	}
}

// between draws evenly on a logarithmic scale.
func between(rng *rand.Rand, low, high float64) float64 {
	return low * math.Exp(rng.Float64()*math.Log(high/low))
}

// uniform draws evenly.
func uniform(rng *rand.Rand, low, high float64) float64 { return low + rng.Float64()*(high-low) }

// kernelChamber mixes most of what comes in, and lets a part pass sooner.
func kernelChamber(rng *rand.Rand, volume, flow, wide float64) passage {
	mean := volume / flow
	if !(mean > 0) {
		return atOnce
	}
	short := uniform(rng, 0, 0.25*wide)
	quick := uniform(rng, 0.2, 0.6)
	slow := (1 - short*quick) / (1 - short)
	return splitOf(short, tankRow(quick*mean, 2), tankRow(slow*mean, uniform(rng, 1, 1+0.5*wide)))
}

// kernelVessel is a way with some dispersion, of either family.
func kernelVessel(rng *rand.Rand, mean, low, high float64) passage {
	if !(mean > 0) {
		return atOnce
	}
	spread := between(rng, low, high)
	still := uniform(rng, 0, 0.5)
	moving := (1 - still) * mean
	spread /= (1 - still) * (1 - still)
	if rng.IntN(2) == 0 {
		return seriesOf(delayed(still*mean), dispersedWay(moving, spread))
	}
	return seriesOf(delayed(still*mean), tankRow(moving, 1/spread))
}

// kernelTube is a section of the loop.
func kernelTube(rng *rand.Rand, volume, flow, wide float64) passage {
	mean := volume / flow
	if !(mean > 0) {
		return atOnce
	}
	parabolic := math.Min(uniform(rng, 0, 0.8*wide), 1)
	still := dispersedWay(mean, between(rng, 0.002, 0.08*wide))
	return splitOf(parabolic, seriesOf(laminarWay(0.98*mean), dispersedWay(0.02*mean, 1)), still)
}

// kernelLungs are one to three paths.
func kernelLungs(rng *rand.Rand, mean, wide float64) passage {
	paths := 1 + rng.IntN(3)
	var parts, times [3]float64
	sum, total := 0.0, 0.0
	for i := range paths {
		parts[i] = between(rng, 0.3, 1)
		times[i] = math.Exp(0.35 * wide * rng.NormFloat64())
		sum += parts[i]
	}
	for i := range paths {
		parts[i] /= sum
		total += parts[i] * times[i]
	}
	l := passage(func(complex128) complex128 { return 0 })
	for i := range paths {
		p, way := complex(parts[i], 0), kernelVessel(rng, mean*times[i]/total, 0.03/wide, 0.25*wide)
		before := l
		l = func(s complex128) complex128 { return before(s) + p*way(s) }
	}
	return withTissue(l, uniform(rng, 0, 0.06*wide), between(rng, 0.05, 0.5))
}

// kernelOrgans splits the body into five to ten ways with times from a tenth to more
// than twice the mean.
func kernelOrgans(rng *rand.Rand, mean, wide float64) (organs []kernelOrgan, upper float64) {
	n := 5 + rng.IntN(6)
	organs = make([]kernelOrgan, n)
	times := make([]float64, n)
	spread := uniform(rng, 0.35/wide, 0.7*wide)
	sum, total := 0.0, 0.0
	for i := range organs {
		organs[i].share = between(rng, 0.25, 1)
		times[i] = math.Exp(spread * rng.NormFloat64())
		organs[i].upper = rng.Float64() < 0.4
		sum += organs[i].share
	}
	// One short way, as through the heart's own vessels.
	organs[0].share, organs[0].upper = sum*uniform(rng, 0.02, 0.08), true
	times[0] = uniform(rng, 0.1, 0.35)
	organs[1].upper, organs[2].upper = true, false
	sum = 0
	for i := range organs {
		sum += organs[i].share
	}
	for i := range organs {
		organs[i].share /= sum
		total += organs[i].share * times[i]
	}
	uptake, rate := uniform(rng, 0, 0.35*wide), between(rng, 1./150, 1./15)
	for i := range organs {
		t := max(times[i]/total, 0.08)
		organs[i].passage = withTissue(kernelVessel(rng, mean*t, 0.06/wide, 0.5*wide), uptake, rate)
		if organs[i].upper {
			upper += organs[i].share
		}
	}
	return organs, upper
}

// drawPassages draws what the scenario leaves open.
func drawPassages(rng *rand.Rand, s Scenario, f passageFlows) *passages {
	wide := 1.0
	if s.Wide {
		wide = uniform(rng, 0.8, 2.2)
	}
	n := &passages{s: s, f: f}
	loop, q := s.Loop.FlowMLs, s.FlowMLs
	n.caval = kernelVessel(rng, s.CavalML/q*(1-0.5*s.Streaming), 0.02, 0.3*wide)
	n.rightAtrium = kernelChamber(rng, s.Heart.RightAtriumML, q+s.Shunts.Atrial.LeftToRight, wide)
	if s.Streaming > 0 {
		n.rightAtrium = splitOf(0.5*s.Streaming, tankRow(0.2*s.Heart.RightAtriumML/q, 2), n.rightAtrium)
	}
	n.rightVentricle = kernelChamber(rng, s.Heart.RightVentricleML, f.toRight+s.Shunts.Ventricular.LeftToRight, wide)
	n.lungs = kernelLungs(rng, s.LungML/f.lungs, wide)
	n.leftAtrium = kernelChamber(rng, s.Heart.LeftAtriumML, f.lungs+s.Shunts.Atrial.RightToLeft, wide)
	n.leftVentricle = kernelChamber(rng, s.Heart.LeftVentricleML, f.toLeft+s.Shunts.Ventricular.RightToLeft, wide)
	n.aorta = kernelVessel(rng, s.AortaML/q, 0.01, 0.2*wide)
	central := s.CavalML + s.Heart.RightAtriumML + s.Heart.RightVentricleML + s.Heart.LeftAtriumML + s.Heart.LeftVentricleML + s.LungML + s.AortaML
	n.organs, n.upper = kernelOrgans(rng, max(s.BloodML-central, 0.2*s.BloodML)/f.body, wide)
	n.artery = kernelTube(rng, s.Loop.ArteryToSensorML, loop, wide)
	n.sensorToPort = kernelTube(rng, s.Loop.SensorToPortML, loop, wide)
	n.portToSensor, n.portToVein = n.drawDispersion(rng, wide)
	n.rest = kernelTube(rng, s.Loop.PortToSensorML, loop, wide)
	n.inject()
	return n
}

// drawDispersion gives what the tubes behind the port add to the plug that inject
// moves: atOnce on the mean, a spread about it.
func (n *passages) drawDispersion(rng *rand.Rand, wide float64) (sensor, vein passage) {
	loop := n.s.Loop
	spread := between(rng, 0.003, 0.08*wide)
	parabolic := math.Min(uniform(rng, 0, 0.8*wide), 1)
	about := func(volume float64) passage {
		mean := volume / loop.FlowMLs
		if !(mean > 0) {
			return atOnce
		}
		d, back := splitOf(parabolic, laminarWay(mean), dispersedWay(mean, spread)), delayed(mean)
		return func(s complex128) complex128 { return d(s) / back(s) }
	}
	return about(loop.PortToSensorML), about(loop.PortToSensorML + loop.SensorToVeinML)
}
