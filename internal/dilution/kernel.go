package dilution

import "math"

// Laws of transit times, as Laplace transforms. Each is 1 at s = 0: all that enters
// leaves.
//
//	delay by d           exp(-s d)
//	gamma, mean m        (1 + s m/n)^-n: n well-mixed tanks in a row when n is whole;
//	                     variance m^2/n
//	tube, mean m         layers, each a delay, of a profile of speed that is a parabola
//	                     in part p: speed (1 - p) + 2 p y of the mean, with y = 1 - (r/R)^2
//
// In the tube the layer at y takes m/speed and carries flow as its speed, so that by
// the time t m all has left that lies above y, which is a share
//
//	u = ((1 + p)^2 - 1/t^2)/(4 p) of the flow, t from 1/(1 + p) to 1/(1 - p).
//
// p = 0 is a plug; p = 1 laminar flow without mixing across, whose law is 1/(2 t^3).
//
// Sources: Erlang's distribution (textbook); the laminar law: Danckwerts PV. Chem Eng Sci
// 1953;2:1-13 (from memory); a profile in part: ours, no source.

// expOf is exp(z) of a finite z.
func expOf(z complex128) complex128 {
	sin, cos := math.Sincos(imag(z))
	size := math.Exp(real(z))
	return complex(size*cos, size*sin)
}

// logOf is ln(z) for a z to the right of the imaginary axis.
func logOf(z complex128) complex128 {
	re, im := real(z), imag(z)
	return complex(math.Log(re*re+im*im)/2, math.Atan(im/re))
}

// over1 is 1/z of a finite z that is not nought.
func over1(z complex128) complex128 {
	re, im := real(z), imag(z)
	size := 1 / (re*re + im*im)
	return complex(re*size, -im*size)
}

// times is x z.
func times(x float64, z complex128) complex128 { return complex(x*real(z), x*imag(z)) }

// gammaKernel of mean meanS and order n, for an s to the right of the imaginary axis.
func gammaKernel(s complex128, meanS, n float64) complex128 {
	return expOf(times(-n, logOf(1+times(meanS/n, s))))
}

// layersOfATube is how many layers stand for a tube, fewLayers where two tubes follow one
// another; they are thinner where it is slow.
const layersOfATube, fewLayers = 16, 8

// tubeLayer is one: its share of the flow and its transit as part of the mean.
type tubeLayer struct{ share, transit float64 }

// tubeLayers writes the layers of a tube. Each takes the mean of the transits in it,
//
//	(v(u1) - v(u2))/(2 p (u2 - u1)),   v(u) = ((1 + p)^2 - 4 p u)^(1/2) its speed,
//
// so that the mean of all is kept.
func tubeLayers(layers []tubeLayer, part float64) {
	part = min(max(part, 1e-3), 0.98)
	speed := func(u float64) float64 { return math.Sqrt((1+part)*(1+part) - 4*part*u) }
	before := 0.0
	for i := range layers {
		left := 1 - float64(i+1)/float64(len(layers))
		u := 1 - left*left
		layers[i] = tubeLayer{share: u - before, transit: (speed(before) - speed(u)) / (2 * part * (u - before))}
		before = u
	}
}

// twoTubes writes the layers of two tubes that follow one another, mixed where they
// meet, the first of which has this part of both volumes.
func twoTubes(layers *[fewLayers * fewLayers]tubeLayer, part, first float64) {
	var one [fewLayers]tubeLayer
	tubeLayers(one[:], part)
	for i, a := range one {
		for j, b := range one {
			layers[i*fewLayers+j] = tubeLayer{share: a.share * b.share, transit: first*a.transit + (1-first)*b.transit}
		}
	}
}

// addStep adds a step of an entry, share (exp(-s a) - exp(-s b))/(s (b - a)), to out, times
// s: whoever has added all of them divides.
func addStep(out, line []complex128, step entryStep) {
	height := step.share / (step.toS - step.fromS)
	addDelay(out, line, height, step.fromS)
	addDelay(out, line, -height, step.toS)
}

// addDelay adds share exp(-s d) to out for every s of an evenly spaced line: each is the
// one before, turned on.
func addDelay(out, line []complex128, share, delayS float64) {
	if len(line) < 2 {
		return
	}
	at := times(share, expOf(times(-delayS, line[0])))
	turn := expOf(times(-delayS, line[1]-line[0]))
	for k := range out {
		out[k] += at
		at *= turn
	}
}

// addTube adds a tube of mean transit meanS, a parabola in part, to out on the line.
func addTube(out, line []complex128, meanS, part float64) {
	var layers [layersOfATube]tubeLayer
	tubeLayers(layers[:], part)
	for _, layer := range layers {
		addDelay(out, line, layer.share, layer.transit*meanS)
	}
}
