package dilution

import "math"

// How far the tubes of the loop are laminar, and how long they take, is seen where the
// indicator comes back: what passes the arterial sensor passes the venous one later,
// through sections of known volume,
//
//	H_venous(t) = a + g ((H_arterial * tube of mean k V/Q_loop and part p)(t) + h w(t))
//
// once the injection has ended, with h the height of its pulse and w the part of the
// flow whose layer is still being washed out between port and sensor. p and k are taken from a lattice where the sum
// of squares is smallest, a and g by least squares at each of its points. k tells of a
// loop whose flow is not what was stated. (Ours, no source.)

// tubes is what was seen of them.
type tubes struct {
	// part is that of the parabola in the profile, see kernel.go; slower is k.
	part, slower float64
	// partSD is the standard deviation of part; as wide as what is believed beforehand
	// where nothing was seen.
	partSD float64
	// seen tells whether the recording said anything.
	seen bool
}

// What is believed of the tubes before they are seen (common practice, no source).
var (
	partBelief   = belief{0.55, 0.25}
	slowerBelief = belief{1, 0.05}
)

// The lattice of part and slower, and how long and how finely curves are compared.
const (
	partSteps, slowerSteps = 20, 9 // 0 to 0.95, 0.9 to 1.1
	partStep, slowerStep   = 0.05, 0.025
	tubeSpanS              = 45
	tubeStepS              = 0.4
	// tubeTogether is how many of the residuals are off together: noise is white on
	// neither sensor, and neither is what the law of the tube misses.
	tubeTogether = 4
)

// findTubes compares both curves; the injection was from startS for durationS, and its
// pulse on the venous curve is height high.
func findTubes(arterial, venous raster, startS, durationS, height float64, loop Loop) tubes {
	none := tubes{part: partBelief.mean, slower: 1, partSD: partBelief.sd}
	between := (loop.SensorToPortML + loop.PortToSensorML) / loop.FlowMLs
	port := loop.PortToSensorML / loop.FlowMLs
	gone := startS + durationS + 1.2*port + 1
	if len(arterial.H) == 0 || len(venous.H) == 0 || !(between > 1) || !finite(between, gone) {
		return none
	}
	from, to := venous.window(gone, gone+tubeSpanS)
	per := int(math.Round(tubeStepS / gridStepS))
	n := (to - from) / per
	if n < 25 {
		return none
	}
	target, times := make([]float64, n), make([]float64, n)
	for i := range target {
		target[i] = mean(venous.H[from+i*per : from+(i+1)*per])
		times[i] = venous.at(from+i*per) + (tubeStepS-gridStepS)/2
	}
	var sums [partSteps][slowerSteps]float64
	passed := make([]float64, n)
	for a := range sums {
		part := partStep * float64(a)
		layers := tubeLayers(part)
		for b := range sums[a] {
			transit := between * slowerAt(b)
			for i, t := range times {
				passed[i] = height * tubeLeft((t-startS-durationS)/(port*slowerAt(b)), part)
				for _, layer := range layers {
					passed[i] += arterial.between(t-transit*layer) / layersOfATube
				}
			}
			sums[a][b] = misfit(passed, target)
		}
	}
	return none.choose(&sums, float64(n))
}

// tubeLeft is the part of the flow whose layer takes longer than x times the mean.
func tubeLeft(x, part float64) float64 {
	switch {
	case x*(1+part) <= 1:
		return 1
	case x*(1-part) >= 1:
		return 0
	}
	return 1 - ((1+part)*(1+part)-1/(x*x))/(4*part)
}

func slowerAt(b int) float64 { return 1 + slowerStep*float64(b-slowerSteps/2) }

// between reads a curve between its points, nought before the first.
func (r raster) between(s float64) float64 {
	x := s/gridStepS - float64(r.First)
	if !(x >= 0) {
		return 0
	}
	i := min(int(x), len(r.H)-2)
	if i < 0 {
		return 0
	}
	share := min(x-float64(i), 1)
	return r.H[i] + share*(r.H[i+1]-r.H[i])
}

// misfit is the sum of squares of y about the best straight line in x.
func misfit(x, y []float64) float64 {
	a, g := straightLine(x, y, nil)
	if !finite(a, g) {
		a, g = mean(y), 0
	}
	sum := 0.0
	for i := range x {
		d := y[i] - a - g*x[i]
		sum += d * d
	}
	return sum
}

// choose takes the mean over the lattice, each point weighed by how well it fits and by
// what was believed.
func (t tubes) choose(sums *[partSteps][slowerSteps]float64, n float64) tubes {
	least := math.Inf(1)
	for a := range sums {
		for _, s := range sums[a] {
			least = min(least, s)
		}
	}
	if !(least > 0) || !finite(least) {
		return t
	}
	var all, part, square, slower float64
	for a := range sums {
		for b, s := range sums[a] {
			p, k := partStep*float64(a), slowerAt(b)
			dp, dk := (p-partBelief.mean)/partBelief.sd, (k-slowerBelief.mean)/slowerBelief.sd
			w := math.Exp(-n/tubeTogether*(s-least)/least/2 - (dp*dp+dk*dk)/2)
			all += w
			part, square, slower = part+w*p, square+w*p*p, slower+w*k
		}
	}
	t.part, t.slower = part/all, slower/all
	t.partSD = math.Sqrt(max(square/all-t.part*t.part, 0))
	t.seen = t.partSD < 0.8*partBelief.sd
	return t
}
