package circuit

import "math"

// syringeCells is the number of stretches of constant rate that an injection has.
const syringeCells = 512

// syringe tells how much of the indicator has been given: by hand, with a ramp, a
// plateau that wobbles slowly, and a tail.
type syringe struct {
	durationS float64
	// givenML[i] had been given after i of syringeCells parts of the duration.
	givenML [syringeCells + 1]float64
}

// newSyringe draws the hand that gives the injection. All of VolumeML is given between
// 0 and DurationS.
func newSyringe(s Scenario) *syringe {
	j := s.Injection
	wobble := slowWobble(newDraw(s, streamInjection))
	given := &syringe{durationS: j.DurationS}
	for i := range syringeCells {
		at := (float64(i) + 0.5) / syringeCells
		// A hand does not pull back: a twentieth of the rate is left.
		rate := trapezoid(at, j.RampShare, j.TailShare) * max(1+j.Unevenness*wobble[i], 0.05)
		given.givenML[i+1] = given.givenML[i] + rate
	}
	scale := j.VolumeML / given.givenML[syringeCells]
	for i := range given.givenML {
		given.givenML[i] *= scale
	}
	given.givenML[syringeCells] = j.VolumeML
	return given
}

// trapezoid rises over the first share of the time and falls over the last one.
func trapezoid(at, ramp, tail float64) float64 {
	return min(1, at/max(ramp, math.SmallestNonzeroFloat64), (1-at)/max(tail, math.SmallestNonzeroFloat64))
}

// slowWobble has mean 0 and standard deviation 1: four waves of one to four periods.
func slowWobble(d draw) (wobble [syringeCells]float64) {
	for periods := 1; periods <= 4; periods++ {
		phase, height := 2*math.Pi*d.Float64(), d.Float64()+0.2
		for i := range wobble {
			wobble[i] += height * math.Sin(2*math.Pi*float64(periods*i)/syringeCells+phase)
		}
	}
	square := 0.0
	for _, x := range wobble {
		square += x * x
	}
	scale := math.Sqrt(syringeCells / square)
	for i := range wobble {
		wobble[i] *= scale
	}
	return wobble
}

// byML is what has been given until then, mL. Its differences are the volumes of steps
// of any length; they add up to the whole.
func (y *syringe) byML(atS float64) float64 {
	switch {
	case atS <= 0:
		return 0
	case atS >= y.durationS:
		return y.givenML[syringeCells]
	}
	cells := atS / y.durationS * syringeCells
	i := min(int(cells), syringeCells-1)
	return y.givenML[i] + (cells-float64(i))*(y.givenML[i+1]-y.givenML[i])
}

// highestMLs is the highest rate.
func (y *syringe) highestMLs() float64 {
	highest := 0.0
	for i := range syringeCells {
		highest = max(highest, y.givenML[i+1]-y.givenML[i])
	}
	return highest * syringeCells / y.durationS
}
