package dilution

import (
	"math"
	"slices"
)

// gridStepS is the step of the grid that results stand on.
const gridStepS = 0.1

// What of a recording is looked at around the noted injection, s; and the coarsest
// sampling that is (common practice, no source).
const (
	reachS   = 3600
	coarsest = 0.5
)

// raster is a curve on the grid: point i is at (First + i) gridStepS.
type raster struct {
	First int
	// H has means over one step around each point.
	H []float64
	// Used tells which points rest on samples; what is between them is a straight line.
	Used []bool
}

// at gives the time of a point, s.
func (r raster) at(i int) float64 { return float64(r.First+i) * gridStepS }

// index gives the point next to a time, kept within the grid.
func (r raster) index(atS float64) int {
	i := math.Round(atS/gridStepS) - float64(r.First)
	if !(i > 0) {
		return 0
	}
	return int(min(i, float64(max(len(r.H)-1, 0))))
}

// window gives the points from one time to another as a half-open range.
func (r raster) window(fromS, toS float64) (from, to int) {
	if len(r.H) == 0 || !(toS > fromS) || toS < r.at(0) || fromS > r.at(len(r.H)-1) {
		return 0, 0
	}
	return r.index(fromS), r.index(toS) + 1
}

// lay puts evenly spaced samples on the grid: the mean of the straight lines between
// them over each step, so that no rate of sampling shifts a curve in time. Missing
// samples are bridged by a straight line first, and by the nearest one at the ends.
func lay(startS, stepS float64, h []float64) raster {
	first := int(math.Ceil(max(startS, -reachS)/gridStepS + 0.5 - 1e-9))
	last := int(math.Floor(min(startS+float64(len(h)-1)*stepS, reachS)/gridStepS - 0.5 + 1e-9))
	if last < first || len(h) < 2 {
		return raster{}
	}
	r := raster{First: first, H: make([]float64, last-first+1), Used: make([]bool, last-first+1)}
	covered := make([]float64, len(r.H))
	v, known := bridge(h)
	if !known {
		return raster{}
	}
	// Everything in steps of the grid, from the lower edge of the first one on.
	begin := startS/gridStepS - (float64(first) - 0.5)
	per := stepS / gridStepS
	for i := max(int(-begin/per)-1, 0); i+1 < len(h); i++ {
		a, b := begin+float64(i)*per, begin+float64(i+1)*per
		if b <= 0 {
			continue
		}
		if a >= float64(len(r.H)) {
			break
		}
		measured := !math.IsNaN(h[i]) && !math.IsNaN(h[i+1])
		slope := (v[i+1] - v[i]) / per
		for from := max(a, 0); from < b; {
			cell := int(from)
			if cell >= len(r.H) {
				break
			}
			to := min(b, float64(cell+1))
			r.H[cell] += (to - from) * (v[i] + slope*((from+to)/2-a))
			if measured {
				covered[cell] += to - from
			}
			from = to
		}
	}
	for i, c := range covered {
		r.Used[i] = c >= 0.5
	}
	return r
}

// bridge puts straight lines over missing samples. It gives the samples themselves
// where none is missing, and known is false where all are.
func bridge(h []float64) (v []float64, known bool) {
	if !slices.ContainsFunc(h, math.IsNaN) {
		return h, len(h) > 0
	}
	v = slices.Clone(h)
	last := -1
	for i, x := range h {
		if math.IsNaN(x) {
			continue
		}
		for j := last + 1; j < i; j++ {
			if last < 0 {
				v[j] = x
				continue
			}
			v[j] = h[last] + (x-h[last])*float64(j-last)/float64(i-last)
		}
		last = i
	}
	if last < 0 {
		return v, false
	}
	for j := last + 1; j < len(v); j++ {
		v[j] = h[last]
	}
	return v, true
}

// cut gives both curves on the points that both have, and the one there is where the
// other has none.
func cut(a, b raster) (raster, raster) {
	if len(a.H) == 0 || len(b.H) == 0 {
		return a, b
	}
	first := max(a.First, b.First)
	end := min(a.First+len(a.H), b.First+len(b.H))
	if end <= first {
		return raster{}, raster{}
	}
	return a.part(first, end), b.part(first, end)
}

// part gives the points from first to before end.
func (r raster) part(first, end int) raster {
	return raster{First: first, H: r.H[first-r.First : end-r.First], Used: r.Used[first-r.First : end-r.First]}
}

// turned is the curve upside down.
func (r raster) turned() raster {
	h := make([]float64, len(r.H))
	for i, v := range r.H {
		h[i] = -v
	}
	return raster{First: r.First, H: h, Used: r.Used}
}

// smooth gives the mean over the points up to half away from each. Near an end the
// window stays even about its point by shrinking.
func smooth(h []float64, half int) []float64 {
	sums := make([]float64, len(h)+1)
	for i, v := range h {
		sums[i+1] = sums[i] + v
	}
	out := make([]float64, len(h))
	for i := range h {
		k := min(half, i, len(h)-1-i)
		out[i] = (sums[i+k+1] - sums[i-k]) / float64(2*k+1)
	}
	return out
}

// median sorts the values and gives the middle one, NaN of none.
func median(values []float64) float64 {
	n := len(values)
	if n == 0 {
		return math.NaN()
	}
	slices.Sort(values)
	return (values[(n-1)/2] + values[n/2]) / 2
}
