package dilution

import (
	"math"
	"math/cmplx"
	"slices"

	"saltmark/internal/dilution/leastsquares"
)

// loopResult is what one structure makes of a curve. All figures are numbers wherever
// withheld is "".
type loopResult struct {
	form     structure
	withheld Reason
	end      leastsquares.End

	flowMLs float64
	// transitS is the mean transit from tip to tip.
	transitS float64
	// share is 1 - Qs/Qp, early what passes the lungs by; 0 where the form has none.
	share, early float64
	// bodyS is the mean transit of the body, bloodML flow times that and transitS.
	bodyS, bloodML float64
	// varianceS2 is that of the transit from tip to tip.
	varianceS2 float64
	// delayPart, chamberPart, order, slower are of the law of one passage; spread and
	// quick of that of the body.
	delayPart, chamberPart, order, slower, spread, quick float64
	// lnFlowSD and shareSD are standard deviations as the fit sees them: noise and
	// the allowance for structure, no more.
	lnFlowSD, shareSD float64
	// residual is the root mean square of what is left, as part of the peak; over the
	// first pass alone in firstResidual.
	residual, firstResidual float64
	// sum is the sum of squares in standard deviations, priors included, over the number of
	// rows; misfit is that without priors.
	sum, misfit float64
	steps       int

	from       rise // where the fit began
	parameters leastsquares.Vector
	covariance [leastsquares.Max][leastsquares.Max]float64
	start      loopStart
}

// loopOptions end a fit when its result moves by less than a thousandth.
var loopOptions = leastsquares.Options{Gradient: 1e-6, Step: 1e-5, Fall: 1e-3, Iterations: 60}

// structureError is the standard deviation that a form of the loop is allowed to be off
// by, as part of the peak (chosen on simulated circulations).
const structureError = 0.01

// belief is what is thought of a parameter before a curve is seen.
type belief struct{ mean, sd float64 }

// Beliefs about every form. Means and widths are near those of fits to simulated
// circulations without shunt, of both circuits and of people who differ more than people
// do (computed); those of the shunts are common practice, no source.
var beliefs = [loopParameters]belief{
	atFlow:    {0, 0.5},
	atTransit: {-0.15, 0.3},
	atDelay:   {-1, 0.7},
	atChamber: {-1.1, 0.6},
	atOrder:   {2, 0.5},
	atSlower:  {-0.9, 0.7},
	atShare:   {-1.2, 1.5},
	atReturn:  {1.1, 0.6},
	atEarly:   {-1.7, 1.2},
	atBypass:  {-0.6, 0.5},
	atStages:  {1, 0.5},
	atBody:    {0.2, 0.5},
	atSpread:  {1.05, 0.5},
	atQuick:   {0, 0.9},
}

// broadBeliefs replace those about the body where it is broad.
var broadBeliefs = map[int]belief{
	atSpread: {-0.6, 0.32},
	atQuick:  {-3, 1},
}

// poor is the misfit above which another start is tried.
const poor = 1.0

// fit finds the parameters of one form. It starts from the first peak of the curve, and
// where that leads to a poor fit from the highest, which is another one when indicator
// appears early or comes back high, and from the exponential downslope; a form with early
// appearance starts from the highest, and from where another one may be hidden behind
// it. The best counts.
func (f *loopFitter) fit(p loopProblem, form structure) loopResult {
	best := loopResult{form: form, withheld: NotComputable}
	enters := p.enters()
	first, highest, ok := findRises(p.startS, p.h)
	if !ok || len(enters.steps) == 0 {
		return best
	}
	f.problem, f.form = p, form
	starts := []rise{first, highest, slopeAsRise(p.startS, p.h, highest)}
	if form.RightToLeft {
		starts = []rise{highest}
		for _, later := range laterPeaks {
			starts = append(starts, riseTo(p.startS, p.h, later*highest.peakS))
		}
		starts = append(starts, first)
	}
	for i, start := range starts {
		if slices.Contains(starts[:i], start) {
			continue
		}
		if r := f.fitFrom(start, enters, nil); r.withheld == "" && (best.withheld != "" || r.sum < best.sum) {
			best = r
		}
		if best.withheld == "" && best.misfit < poor {
			break
		}
	}
	return best
}

// fitNear is a fit that starts from another one: of the same form by statements that differ
// little, or of another form. What that form does not share starts from what is believed.
func (f *loopFitter) fitNear(p loopProblem, form structure, near *loopResult) loopResult {
	enters := p.enters()
	if near.withheld != "" || len(enters.steps) == 0 {
		return f.fit(p, form)
	}
	f.problem, f.form = p, form
	given := near.parameters
	if form.BroadBody != near.form.BroadBody {
		for _, j := range bodyBy {
			given[j] = beliefOf(j, form).mean
		}
	}
	return f.fitFrom(near.from, enters, &given)
}

// beliefOf is what is thought of a parameter of the heart, the lungs or the body.
func beliefOf(parameter int, form structure) belief {
	if b, ok := broadBeliefs[parameter]; ok && form.BroadBody {
		return b
	}
	return beliefs[parameter]
}

// fitFrom is one fit from a start: from what is believed of the parameters, or from those
// given.
func (f *loopFitter) fitFrom(from rise, enters entry, given *leastsquares.Vector) loopResult {
	r := loopResult{form: f.form, withheld: NotComputable, from: from}
	arteryS := f.problem.arteryS()
	f.begin(from, enters, arteryS)
	f.layRows(from)
	if len(f.rows) < loopParameters {
		return r
	}
	f.setDrive(enters, arteryS)
	f.setLimits()
	var at leastsquares.Vector
	for j := range at[:loopParameters] {
		at[j] = f.limits[j].Mean
	}
	if given != nil {
		at = *given
	}
	found := f.solver.Fit(f, len(f.rows)+loopExtra, f.limits[:], at, loopOptions)
	f.read(&r, &found)
	return r
}

// layRows groups samples into rows: fine over the first pass, four times coarser later.
func (f *loopFitter) layRows(first rise) {
	p, per := &f.problem, int(math.Round(f.inverse.stepS/gridStepS))
	skip := skipped(p.startS, len(p.h))
	points := min((len(p.h)-skip)/per, loopPoints)
	fine := min(max(int(first.peakS/20/f.inverse.stepS), 1), 20)
	f.rows = f.rows[:0]
	for from := 0; from < points; {
		size := fine
		if p.startS+float64(skip+from*per)*gridStepS > 2.5*first.peakS {
			size = 4 * fine
		}
		to := min(from+size, points)
		sum, n := 0.0, 0
		for i := skip + from*per; i < skip+to*per; i++ {
			if p.used == nil || p.used[i] {
				sum += p.h[i]
				n++
			}
		}
		if 2*n >= (to-from)*per {
			middle := p.startS + (float64(skip)+float64((from+to)*per-1)/2)*gridStepS
			f.rows = append(f.rows, loopRow{
				from: from, to: to, h: sum / float64(n) / f.peak, minutes: middle / 60,
				perSD: 1 / math.Hypot(f.noiseOver(float64(n)*gridStepS)/f.peak, structureError),
			})
		}
		from = to
	}
}

// skipped is how many of the samples are before the injection.
func skipped(startS float64, samples int) int {
	return min(max(int(math.Ceil(-startS/gridStepS-1e-9)), 0), samples)
}

// firstS is the time of the first point of the grid.
func (f *loopFitter) firstS() float64 {
	return f.problem.startS + float64(skipped(f.problem.startS, len(f.problem.h)))*gridStepS + (f.inverse.stepS-gridStepS)/2
}

// noiseOver is the standard deviation of an average over a time: white noise falls with
// its root, slow noise does not.
func (f *loopFitter) noiseOver(s float64) float64 {
	n := f.problem.noise
	white := n[1] * math.Sqrt(gridStepS/s)
	slow := math.Sqrt(max(n[2]*n[2]-n[1]*n[1]*gridStepS, 0))
	return math.Hypot(white, slow)
}

// setDrive computes what no parameter changes.
func (f *loopFitter) setDrive(enters entry, arteryS float64) {
	p, line := &f.problem, f.inverse.line
	clear(f.drive)
	enters.transform(f.drive, line)
	f.throughTube(f.drive, arteryS)
	for k := range f.around {
		f.around[k] = 1
	}
	l := p.loop
	for _, ml := range []float64{l.ArteryToSensorML, l.SensorToPortML, l.PortToSensorML, l.SensorToVeinML} {
		f.throughTube(f.around, ml/l.FlowMLs)
	}
	f.ends = len(line)
	for k, s := range line {
		f.drive[k] *= times(p.volumeML, expOf(times(f.firstS(), s))*sinhOver(times(f.inverse.stepS/2, s)))
	}
	for j := range f.transform {
		clear(f.transform[j])
	}
}

// throughTube multiplies what is on the line by a tube.
func (f *loopFitter) throughTube(out []complex128, meanS float64) {
	clear(f.section)
	addTube(f.section, f.inverse.line, meanS, f.problem.tubePart)
	for k, x := range f.section {
		out[k] *= x
	}
}

// sinhOver is sinh(z)/z, by its series where the quotient loses digits.
func sinhOver(z complex128) complex128 {
	if cmplx.Abs(z) < 1e-2 {
		w := z * z
		return 1 + w/6*(1+w/20*(1+w/42))
	}
	return cmplx.Sinh(z) / z
}

// enters is how the indicator enters the vein.
func (p *loopProblem) enters() entry {
	return entersMixed(p.loop.FlowMLs, p.loop.PortToSensorML, p.loop.SensorToVeinML, p.tubePart, p.volumeML, p.durationS)
}

// arteryS is the mean transit from the artery to the sensor.
func (p *loopProblem) arteryS() float64 { return p.loop.ArteryToSensorML / p.loop.FlowMLs }

// setLimits writes beliefs and bounds of the parameters that the form has.
func (f *loopFitter) setLimits() {
	p := &f.problem
	for j := range f.limits {
		b := beliefOf(j, f.form)
		switch j {
		case atLevel:
			b = belief{0, max(p.levelSD/f.peak, 1e-4)}
		case atSlope:
			b = belief{0, max(60*p.slopePerSSD/f.peak, 1e-4)}
		}
		f.limits[j] = leastsquares.Limits{Mean: b.mean, SD: b.sd, Lower: b.mean - 5*b.sd, Upper: b.mean + 5*b.sd}
	}
	f.limits[atSlower].Fixed = !f.form.TwoPaths
	f.limits[atShare].Fixed, f.limits[atReturn].Fixed = !f.form.LeftToRight, !f.form.LeftToRight
	for _, j := range []int{atEarly, atBypass, atStages} {
		f.limits[j].Fixed = !f.form.RightToLeft
	}
}

// read turns parameters into figures.
func (f *loopFitter) read(r *loopResult, found *leastsquares.Result) {
	h := newHeartAndLungs(&found.P, f.start.transitS, f.form)
	b := newBody(&found.P, f.start.bodyS, f.form)
	r.end, r.steps = found.End, found.Iterations
	r.flowMLs = f.start.flowMLs * math.Exp(found.P[atFlow])
	r.transitS, r.share, r.early = h.meanS(), h.share, h.early
	r.varianceS2 = h.varianceS2()
	r.bodyS, r.bloodML = b.meanS, r.flowMLs*(h.muS+b.meanS)
	r.delayPart, r.chamberPart, r.order, r.slower = h.delay, h.chamber, h.order, h.slower
	r.spread, r.quick = math.Exp(found.P[atSpread]), logistic(found.P[atQuick])
	r.lnFlowSD, r.shareSD = found.SD(atFlow), h.share*(1-h.share)*found.SD(atShare)
	r.sum, r.misfit = found.Sum/float64(len(f.rows)), found.Residuals/float64(len(f.rows))
	r.parameters, r.covariance, r.start = found.P, found.Covariance, f.start
	f.leftOver(r)
	if found.End != leastsquares.NotFinite && found.End != leastsquares.Unset && r.flowMLs > 0 &&
		finite(r.flowMLs, r.transitS, r.share, r.early, r.varianceS2, r.bodyS, r.sum, r.residual, r.lnFlowSD) {
		r.withheld = ""
	}
}

// leftOver measures the residuals at the parameters found.
func (f *loopFitter) leftOver(r *loopResult) {
	f.Evaluate(&r.parameters, f.scratch[:len(f.rows)+loopExtra], nil)
	var all, first, n, nFirst float64
	until := r.transitS * 2 / 60
	for i, row := range f.rows {
		x := f.scratch[i] / row.perSD
		size := float64(row.to - row.from)
		all, n = all+x*x*size, n+size
		if row.minutes < until {
			first, nFirst = first+x*x*size, nFirst+size
		}
	}
	r.residual, r.firstResidual = math.Sqrt(all/n), math.Sqrt(first/max(nFirst, 1))
}
