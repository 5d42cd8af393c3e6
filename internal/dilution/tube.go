package dilution

import "math"

// How far the tubes of the loop are laminar, and how long they take, is seen where the
// indicator comes back: what passes the arterial sensor passes the venous one later,
// through sections of known volume,
//
//	H_venous(t) = a + g (H_arterial * tube of mean k V/Q_loop and part p)(t) + b w(t)
//
// once the injection has ended, with w the part of the flow whose layer is still being
// washed out between port and sensor. a, g and b are found by least squares for each p
// and k of a lattice, and p and k are their means over it, each weighed by how well the
// curve is described. k tells of a loop whose flow is not what was stated. (Ours, no
// source.)

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

// How long and how finely curves are compared.
const (
	tubeSpanS = 45
	tubePer   = 4 // steps of the grid
	// tubeTogether is how many of the residuals are off together: noise is white on
	// neither sensor, and neither is what the law of the tube misses.
	tubeTogether = 4
)

// lattice is a set of parts and slownesses to try.
type lattice struct {
	part, partStep     float64 // the first one
	slower, slowerStep float64
	parts, slownesses  int
}

// tubeTrial holds the curves that are compared, at times from the start of the pulse's
// end on.
type tubeTrial struct {
	arterial       raster
	times, target  []float64
	passed, washed []float64
	// betweenS and portS are the stated transits from sensor to sensor and from the port
	// to the venous one; endS is when the injection ends.
	betweenS, portS, endS float64
	// first is the part of what is between the sensors that lies before the port.
	first float64
}

// findTubes compares both curves; the injection was from startS for durationS.
func findTubes(arterial, venous raster, startS, durationS float64, loop Loop) tubes {
	none := tubes{part: partBelief.mean, slower: slowerBelief.mean, partSD: partBelief.sd}
	t := tubeTrial{
		arterial: arterial, endS: startS + durationS,
		betweenS: (loop.SensorToPortML + loop.PortToSensorML) / loop.FlowMLs, portS: loop.PortToSensorML / loop.FlowMLs,
		first: loop.SensorToPortML / (loop.SensorToPortML + loop.PortToSensorML),
	}
	gone := t.endS + 1.2*t.portS + 1
	if len(arterial.H) == 0 || len(venous.H) == 0 || !(t.betweenS > 1) || !finite(t.betweenS, gone) {
		return none
	}
	from, to := venous.window(gone, gone+tubeSpanS)
	n := (to - from) / tubePer
	if n < 25 {
		return none
	}
	for i := range n {
		t.target = append(t.target, mean(venous.H[from+i*tubePer:from+(i+1)*tubePer]))
		t.times = append(t.times, venous.at(from+i*tubePer)+(tubePer-1)*gridStepS/2)
	}
	t.passed, t.washed = make([]float64, n), make([]float64, n)
	coarse, ok := t.try(lattice{0, 0.14, 0.92, 0.08, 8, 3}, none)
	if !ok {
		return none
	}
	fine, ok := t.try(lattice{max(coarse.part-0.12, 0), 0.03, coarse.slower - 0.06, 0.02, 9, 7}, coarse)
	if !ok {
		return none
	}
	// A lattice is no narrower than its step.
	fine.partSD = math.Max(math.Max(fine.partSD, 0.01), math.Min(coarse.partSD-0.05, partBelief.sd))
	fine.seen = fine.partSD < 0.6*partBelief.sd
	if !fine.seen {
		return none
	}
	return fine
}

// try takes the means over a lattice.
func (t *tubeTrial) try(l lattice, found tubes) (tubes, bool) {
	sums := make([]float64, 0, l.parts*l.slownesses)
	least := math.Inf(1)
	var layers [fewLayers * fewLayers]tubeLayer
	for a := range l.parts {
		part := math.Min(l.part+float64(a)*l.partStep, 0.98)
		twoTubes(&layers, part, t.first)
		for b := range l.slownesses {
			sum := t.misfit(&layers, part, l.slower+float64(b)*l.slowerStep)
			sums = append(sums, sum)
			least = math.Min(least, sum)
		}
	}
	if !(least > 0) || !finite(least) {
		return found, false
	}
	var all, part, square, slower float64
	for i, sum := range sums {
		p, k := math.Min(l.part+float64(i/l.slownesses)*l.partStep, 0.98), l.slower+float64(i%l.slownesses)*l.slowerStep
		dp, dk := (p-partBelief.mean)/partBelief.sd, (k-slowerBelief.mean)/slowerBelief.sd
		w := math.Exp(-float64(len(t.target))/tubeTogether*(sum-least)/least/2 - (dp*dp+dk*dk)/2)
		all += w
		part, square, slower = part+w*p, square+w*p*p, slower+w*k
	}
	found.part, found.slower = part/all, slower/all
	found.partSD = math.Sqrt(max(square/all-found.part*found.part, 0))
	return found, true
}

// misfit is the sum of squares that a, g and b leave.
func (t *tubeTrial) misfit(layers *[fewLayers * fewLayers]tubeLayer, part, slower float64) float64 {
	clear(t.passed)
	for _, layer := range layers {
		t.pass(layer.share, t.betweenS*slower*layer.transit)
	}
	for i, at := range t.times {
		t.washed[i] = tubeLeft((at-t.endS)/(t.portS*slower), part)
	}
	return leftOfTwo(t.passed, t.washed, t.target)
}

// pass adds a share of the arterial curve, later by a delay, to what has passed. The times
// are whole steps of the grid apart, so that all lie alike between two of its points.
// Before the curve there was nothing.
func (t *tubeTrial) pass(share, delayS float64) {
	h := t.arterial.H
	x := (t.times[0]-delayS)/gridStepS - float64(t.arterial.First)
	at := int(math.Floor(x))
	later := share * (x - float64(at))
	sooner := share - later
	for i := range t.passed {
		if at >= 0 && at+1 < len(h) {
			t.passed[i] += sooner*h[at] + later*h[at+1]
		}
		at += tubePer
	}
}

// tubeLeft is the part of the flow whose layer takes longer than x times the mean.
func tubeLeft(x, part float64) float64 {
	switch {
	case !(x*(1+part) > 1):
		return 1
	case x*(1-part) >= 1:
		return 0
	}
	return 1 - ((1+part)*(1+part)-1/(x*x))/(4*part)
}

// leftOfTwo is the sum of squares of z about the best a + g x + b y; y counts only where
// it differs from x and from a constant.
func leftOfTwo(x, y, z []float64) float64 {
	mx, my, mz := mean(x), mean(y), mean(z)
	var xx, xy, yy, xz, yz, zz float64
	for i := range x {
		a, b, c := x[i]-mx, y[i]-my, z[i]-mz
		xx, xy, yy = xx+a*a, xy+a*b, yy+b*b
		xz, yz, zz = xz+a*c, yz+b*c, zz+c*c
	}
	left := zz
	if xx > 0 {
		left -= xz * xz / xx
		if rest := yy - xy*xy/xx; rest > 1e-6*yy {
			c := yz - xy*xz/xx
			left -= c * c / rest
		}
	}
	return max(left, 1e-12*zz)
}
