package dilution

import "math"

// closedLoop fits the loop without and with a share from left to right, and with a part
// that passes the lungs by where early says so, and blends the first two: with a share
// below 0.10 the geometric mean of both flows, beyond 0.20 that of the fit with the share,
// and a smooth way between. Among other separations it is the one that knows what comes
// back; `make accuracy` tells how near it comes.
func closedLoop(in Input, p *prepared, durationS float64, early bool) (loopProblem, loopResult, float64) {
	problem := loopProblemOf(in, p, durationS)
	f := newLoopFitter()
	if early {
		r := f.fit(problem, structure{RightToLeft: true, BroadBody: true})
		return problem, r, r.flowMLs
	}
	with := f.fit(problem, structure{LeftToRight: true, BroadBody: true, TwoPaths: true})
	plain := f.fit(problem, structure{BroadBody: true, TwoPaths: true})
	switch {
	case with.withheld != "":
		return problem, plain, plain.flowMLs
	case plain.withheld != "":
		return problem, with, with.flowMLs
	}
	w := smoothStep((with.share - 0.10) / 0.10)
	flow := math.Exp((1+w)/2*math.Log(with.flowMLs) + (1-w)/2*math.Log(plain.flowMLs))
	if w > 0.5 {
		return problem, with, flow
	}
	return problem, plain, flow
}

// smoothStep rises from 0 at 0 to 1 at 1 without a corner.
func smoothStep(x float64) float64 {
	x = min(max(x, 0), 1)
	return x * x * (3 - 2*x)
}

// loopProblemOf puts a recording as the fit wants it, in time from the injection.
func loopProblemOf(in Input, p *prepared, durationS float64) loopProblem {
	on := p.Arterial.On
	from := on.index(p.StartS)
	to := min(from+longestFit, len(on.H))
	var used []bool
	if on.Used != nil {
		used = on.Used[from:to]
	}
	return loopProblem{
		startS: on.at(from) - p.StartS, h: on.H[from:to], used: used,
		noise: p.Arterial.Base.Noise, levelSD: p.Arterial.Base.Noise[2], slopePerSSD: slopeSD(p.Arterial.Base),
		loop: in.Loop, volumeML: in.VolumeML, durationS: durationS, tubePart: usualTubePart, bloodML: math.NaN(),
	}
}

// usualTubePart is how far tubes are taken to be laminar where nothing tells.
const usualTubePart = 0.5
