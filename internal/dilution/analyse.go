package dilution

import "math"

// Analyse computes one injection. It always gives a result: what cannot be computed
// is withheld with its reason.
//
// For the time being it knows the exponential downslope alone; the closed-loop fit, the
// volumes and the signs are withheld.
func Analyse(in Input) Result {
	var r Result
	withheld := Estimate{Withheld: NotComputable}
	r.Transit, r.CentralML, r.DispersionML, r.Distribution = withheld, withheld, withheld, withheld
	r.LeftToRight, r.Early = Sign{Withheld: NotComputable}, Sign{Withheld: NotComputable}
	r.Quality.VolumePerKg = in.VolumeML / in.WeightKg
	p := prepare(in)
	r.GridStepS, r.GridStartS = gridStepS, p.Arterial.On.at(0)
	r.Arterial, r.ArterialBaseline = p.Arterial.On.H, p.Arterial.Base
	r.Venous, r.VenousBaseline = p.Venous.On.H, p.Venous.Base
	r.ArrivalS, r.PeakS = p.ArrivalS, p.PeakS
	r.Faults = p.faults(in)
	e := crudeExponential(r.GridStartS, r.Arterial, in.VolumeML)
	r.Separations = []Separation{e}
	r.Flow = Estimate{Value: e.FlowMLs, SD: 0.1 * e.FlowMLs, Withheld: e.Withheld}
	return r
}

// crudeExponential extrapolates the downslope from 50 to 20 % of the peak.
func crudeExponential(start float64, h []float64, volume float64) Separation {
	s := Separation{Name: "exponential", Withheld: NotComputable}
	peak := 0
	for i, v := range h {
		if v > h[peak] {
			peak = i
		}
	}
	if len(h) == 0 || !(h[peak] > 0) {
		return s
	}
	from := peak
	for from < len(h)-1 && h[from] > 0.5*h[peak] {
		from++
	}
	to := from
	for to < len(h)-1 && h[to] > 0.2*h[peak] {
		to++
	}
	var n, sx, sy, sxx, sxy float64
	for i := from; i < to; i++ {
		if h[i] > 0 {
			x, y := float64(i)*gridStepS, math.Log(h[i])
			n, sx, sy, sxx, sxy = n+1, sx+x, sy+y, sxx+x*x, sxy+x*y
		}
	}
	slope := (n*sxy - sx*sy) / (n*sxx - sx*sx)
	if !(slope < 0) {
		return s
	}
	area := 0.0
	for _, v := range h[:to] {
		area += v * gridStepS
	}
	area += h[to] / -slope
	s.FromS, s.ToS = start+float64(from)*gridStepS, start+float64(to)*gridStepS
	s.AreaS, s.FlowMLs, s.Withheld = area, volume/area, ""
	if !(area > 0) {
		s.Withheld = NotComputable
	}
	return s
}
