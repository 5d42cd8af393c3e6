package dilution

import (
	"math"

	"saltmark/internal/dilution/leastsquares"
)

// structure is a form of the closed loop: which parts of it there are.
type structure struct {
	LeftToRight, RightToLeft bool
	BroadBody, TwoPaths      bool
}

// loopProblem is one arterial curve to be explained, in time from the start of the
// injection at the port.
type loopProblem struct {
	// Sample i of h is the mean over gridStepS about startS + i gridStepS, less the
	// baseline; where used is false it rests on nothing and counts for nothing.
	startS float64
	h      []float64
	used   []bool
	// noise is the standard deviation of averages over noiseOver.
	noise [4]float64
	// levelSD and slopePerSSD are those of the baseline at time nought.
	levelSD, slopePerSSD float64

	loop                Loop
	volumeML, durationS float64
	tubePart            float64 // how far the tubes are laminar, see kernel.go
	// bloodML is what the body may be expected to hold; NaN where not known.
	bloodML float64
}

// loopGrid is the number of times of one evaluation.
const loopGrid = 512

// loopPoints is how many of them are compared with samples: four fifths.
const loopPoints = loopGrid * 4 / 5

// loopFitter fits closed loops. It keeps scratch space: one for each goroutine.
type loopFitter struct {
	solver  *leastsquares.Solver
	grids   [len(loopSteps)]*inverse
	inverse *inverse
	problem loopProblem
	form    structure

	drive, around []complex128 // all of H but T, R and Q; the way through the loop
	section       []complex128 // of the loop
	transform     [loopParameters][]complex128
	curve         []float64
	scratch       []float64
	rows          []loopRow
	limits        [loopParameters]leastsquares.Limits
	start         loopStart
	peak          float64
	ends          int // after the last place of the line that matters
}

// loopSteps are the steps of grids, s.
var loopSteps = [...]float64{0.1, 0.2, 0.4}

// loopStart has what parameters are counted from.
type loopStart struct{ flowMLs, transitS, bodyS float64 }

// loopRow compares the mean of some points of the grid with that of the samples there.
type loopRow struct {
	from, to int
	h        float64 // in units of the peak
	perSD    float64 // one over the standard deviation in that unit
	minutes  float64 // the time of its middle
}

func newLoopFitter() *loopFitter {
	f := &loopFitter{
		solver: leastsquares.NewSolver(loopGrid+loopExtra, loopParameters),
		drive:  make([]complex128, loopGrid/2+1), around: make([]complex128, loopGrid/2+1), section: make([]complex128, loopGrid/2+1),
		curve: make([]float64, loopGrid), scratch: make([]float64, loopGrid+loopExtra),
	}
	for i, step := range loopSteps {
		f.grids[i] = newInverse(loopGrid, step)
	}
	for j := range f.transform {
		f.transform[j] = make([]complex128, loopGrid/2+1)
	}
	return f
}

// loopExtra is the number of rows that do not compare samples.
const loopExtra = 1

// bloodSD is the standard deviation of the logarithm of blood volume about what weight
// lets expect; body and indicator's losses in it (common practice, no source).
const bloodSD = 0.35

// Evaluate implements leastsquares.Model.
func (f *loopFitter) Evaluate(p *leastsquares.Vector, residuals []float64, derivatives *leastsquares.Columns) {
	h := newHeartAndLungs(p, f.start.transitS, f.form)
	b := newBody(p, f.start.bodyS, f.form)
	flow := f.start.flowMLs * math.Exp(p[atFlow])
	f.transforms(&h, &b, flow, derivatives)
	n := len(f.rows)
	f.inverse.invert(f.curve, f.transform[atFlow])
	for i, row := range f.rows {
		residuals[i] = (mean(f.curve[row.from:row.to])/f.peak + p[atLevel] + p[atSlope]*row.minutes - row.h) * row.perSD
	}
	blood := flow * (h.muS + b.meanS)
	residuals[n] = 0
	if f.problem.bloodML > 0 {
		residuals[n] = math.Log(blood/f.problem.bloodML) / bloodSD
	}
	if derivatives == nil {
		return
	}
	for j := range atLevel {
		column := derivatives[j]
		if f.limits[j].Fixed {
			clear(column)
			continue
		}
		if j == atFlow {
			f.inverse.invert(f.curve, f.transform[loopParameters-1])
		} else {
			f.inverse.invert(f.curve, f.transform[j])
		}
		for i, row := range f.rows {
			column[i] = mean(f.curve[row.from:row.to]) / f.peak * row.perSD
		}
		column[n] = 0
	}
	for i, row := range f.rows {
		derivatives[atLevel][i], derivatives[atSlope][i] = row.perSD, row.minutes*row.perSD
	}
	derivatives[atLevel][n], derivatives[atSlope][n] = 0, 0
	if f.problem.bloodML > 0 {
		derivatives[atFlow][n] = 1 / bloodSD
		derivatives[atTransit][n] = h.muS / (h.muS + b.meanS) / bloodSD
		derivatives[atBody][n] = b.meanS / (h.muS + b.meanS) / bloodSD
	}
}

// transforms writes the transform of H into the place of atFlow, its derivative by the
// flow into the last place, and its other derivatives into those of their parameters.
func (f *loopFitter) transforms(h *heartAndLungs, b *body, flow float64, derivatives *leastsquares.Columns) {
	wanted := derivatives != nil
	ends := f.ends
	if wanted {
		ends = len(f.inverse.line)
	}
	lambda := min(f.problem.loop.FlowMLs/flow, 0.9)
	var t passage
	least, small := 0.0, 0
	for k, s := range f.inverse.line[:ends] {
		h.at(s, wanted, &t)
		var byBody [3]complex128
		g := b.at(s, wanted, &byBody)
		back := times(lambda, f.around[k]) + times(1-lambda, g)
		once := over1(1 - t.value*back)
		first := times(1/flow, f.drive[k]) * once
		value := first * t.value
		f.transform[atFlow][k] = value
		if !wanted {
			continue
		}
		byT := first * once
		byR := value * t.value * once
		for j := atTransit; j < atBody; j++ {
			f.transform[j][k] = byT * t.derivative[j]
		}
		for i, j := range bodyBy {
			f.transform[j][k] = times(1-lambda, byR*byBody[i])
		}
		f.transform[loopParameters-1][k] = byR*times(-lambda, f.around[k]-g) - value
		if size := math.Abs(real(value)) + math.Abs(imag(value)); k == 0 {
			least = negligible * size
		} else if size > least {
			small = 0
		} else if small++; small == 4 {
			f.endAt(k + 1)
			return
		}
	}
	if wanted {
		f.ends = ends
	}
}

// negligible is the part of the transform's first value below which the rest of it is
// left away.
const negligible = 1e-7

// endAt makes k the first place that is taken as nought, until derivatives are asked for
// again.
func (f *loopFitter) endAt(k int) {
	for j := range f.transform {
		if f.transform[j] != nil {
			clear(f.transform[j][k:max(f.ends, k)])
		}
	}
	f.ends = k
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}
