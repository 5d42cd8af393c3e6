package dilution

// rise is what a look at a curve sees up to one of its peaks: the time of the peak, the
// height there, and the area up to it.
type rise struct{ peakS, top, areaS float64 }

// findRises looks for the first peak and the highest. The first is the first sample that
// is at least half of the highest and that none exceeds for as long again as half its
// time from the injection.
func findRises(startS float64, h []float64) (first, highest rise, ok bool) {
	smooth := smooth(h, slopeAverage)
	from := skipped(startS, len(h))
	for i := from; i < len(h); i++ {
		if smooth[i] > highest.top {
			highest.top, highest.peakS = smooth[i], startS+float64(i)*gridStepS
		}
	}
	if !(highest.top > 0) || !finite(highest.top) {
		return first, highest, false
	}
	for i := from; i < len(h); i++ {
		at := startS + float64(i)*gridStepS
		if smooth[i] > first.top {
			first.top, first.peakS = smooth[i], at
		} else if first.top >= highest.top/2 && at > 1.5*first.peakS {
			break
		}
	}
	first, highest = riseTo(startS, h, first.peakS), riseTo(startS, h, highest.peakS)
	return first, highest, first.areaS > 0 && first.peakS > 0 && highest.areaS > 0
}

// riseTo is the rise up to a time.
func riseTo(startS float64, h []float64, peakS float64) rise {
	r := rise{peakS: peakS}
	for i := skipped(startS, len(h)); i < len(h) && startS+float64(i)*gridStepS <= peakS+gridStepS/2; i++ {
		r.areaS += h[i] * gridStepS
		r.top = max(r.top, h[i])
	}
	return r
}

// laterPeaks are how much later the main peak may come than one that passed the lungs by.
var laterPeaks = [...]float64{1.8, 2.4, 3.2}

// Before its peak a gamma law of order 4 to 6 has 0.35 to 0.38 of its area, and behind
// an entry more.
const beforePeak = 0.4

// slopeAsRise gives the rise that would lead to the flow and the mean time of the
// exponential downslope, or the other one where there is none.
func slopeAsRise(startS float64, h []float64, other rise) rise {
	e := exponentialUntil(startS, gridStepS, h, 0, neverStalls)
	if e.withheld != "" || !(e.meanS > 0) {
		return other
	}
	return rise{peakS: e.meanS / peakToMean, top: other.top, areaS: e.areaS * beforePeak}
}

// peakToMean is the mean time of a first pass over that of its peak, roughly.
const peakToMean = 1.2

// begin takes the starting values from the rise of the curve.
func (f *loopFitter) begin(from rise, enters entry, arteryS float64) {
	p := &f.problem
	f.start.flowMLs = max(p.volumeML*beforePeak/from.areaS, p.loop.FlowMLs*1.2)
	f.start.transitS = max(peakToMean*from.peakS-enters.mean()-arteryS, 0.3*from.peakS)
	f.start.bodyS = 4 * f.start.transitS
	if p.bloodML > 0 {
		f.start.bodyS = max(p.bloodML/f.start.flowMLs-f.start.transitS, f.start.transitS)
	}
	f.peak = from.top
	// Six times the peak of the first pass hold what tells it from what comes back.
	f.inverse = f.grids[len(f.grids)-1]
	for _, grid := range f.grids {
		if loopPoints*grid.stepS >= 6*from.peakS {
			f.inverse = grid
			break
		}
	}
}
