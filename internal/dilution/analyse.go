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
	r.GridStepS = gridStepS
	r.GridStartS, r.Arterial, r.ArterialBaseline = crude(in.Arterial)
	_, r.Venous, r.VenousBaseline = crude(in.Venous)
	e := crudeExponential(r.GridStartS, r.Arterial, in.VolumeML)
	r.Separations = []Separation{e}
	r.Flow = Estimate{Value: e.FlowMLs, SD: 0.1 * e.FlowMLs, Withheld: e.Withheld}
	return r
}

// gridStepS is the step of the grid that results stand on.
const gridStepS = 0.1

// crude lays a curve on the grid by block means and takes a straight line through what
// was recorded before time nought off it.
func crude(c Curve) (start float64, h []float64, b Baseline) {
	if c.Empty() || !(c.StepS > 0) {
		return 0, nil, b
	}
	per := max(int(math.Round(gridStepS/c.StepS)), 1)
	for i := 0; i+per <= len(c.Values); i += per {
		sum, n := 0.0, 0
		for _, v := range c.Values[i : i+per] {
			if !math.IsNaN(v) {
				sum, n = sum+v, n+1
			}
		}
		h = append(h, sum/float64(max(n, 1)))
	}
	if c.Unit == Percent {
		for i := range h {
			h[i] /= 100
		}
	}
	start = c.StartS
	n := int(-start / gridStepS)
	n = min(max(n, 1), len(h))
	for _, v := range h[:n] {
		b.Level += v / float64(n)
	}
	for i := range h {
		h[i] -= b.Level
	}
	b.FromS, b.ToS = start, 0
	return start, h, b
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
