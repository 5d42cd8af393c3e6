package dilution

import "math"

// fitForms are the closed loops whose answers are features, and fitFigures how many of
// each are kept.
var fitForms = [...]structure{{BroadBody: true}, {LeftToRight: true, BroadBody: true, TwoPaths: true}}

const fitFigures = 8

// keepFits keeps what closed loops make of the curve.
func (k *keeper) keepFits(in Input, p *prepared, durationS float64) {
	problem := loopProblemOf(in, p, durationS)
	f := newLoopFitter()
	for _, form := range fitForms {
		r := f.fit(problem, form)
		if r.withheld != "" {
			for range fitFigures {
				k.keep(0)
			}
			continue
		}
		k.keep(math.Log(r.flowMLs / k.into.CrudeMLs))
		k.keep(logRatio(r.transitS, k.into.RiseS))
		k.keep(r.share)
		k.keep(math.Log(max(r.misfit, 1e-3)))
		k.keep(math.Log(max(r.residual, 1e-5)))
		k.keep(math.Log(max(r.lnFlowSD, 1e-5)))
		k.keep(logRatio(r.bodyS, r.transitS))
		k.keep(logRatio(math.Sqrt(max(r.varianceS2, 0)), r.transitS))
	}
}
