package dilution

import (
	"math"
	"slices"
)

// pulse is the injection as the venous sensor sees it go by, between port and vein.
type pulse struct {
	// Seen is false where nothing like an injection was found: the rest is then nought.
	Seen bool
	// FromS and ToS are its feet at the sensor, RiseS and FallS where it is at half of its
	// height.
	FromS, ToS, RiseS, FallS float64
	// Height is the mean of H over the middle of it.
	Height float64
	// StartS is when the injection began at the port, DurationS how long it took there.
	StartS, DurationS float64
	// VolumeML is what went by, by flow and area; LeftML the part of it that still stood
	// between port and sensor when the injection ended, which is known less well.
	VolumeML, LeftML float64
	// Unsteadiness is the relative standard deviation of the rate over its middle, what
	// noise does taken off.
	Unsteadiness float64
}

// Shares of the height of a pulse that mark it (common practice, no source).
const (
	pulseCore  = 0.5  // above, it is under way
	pulseFoot  = 0.05 // below, it has gone by
	pulseApart = 0.2  // between two pulses it falls below
	pulseNoise = 6.0  // times what else the curve does before
	pulseDepth = 20.0 // pulses that are lower by more are not looked for
	pulseOff   = 2.5  // a volume off by less is the stated one
	pulseLeast = 3    // points above half of the top
	steadyFrom = 0.25 // of the highest rate, above which steadiness is judged
	pulseReach = 60.0 // s around the noted time, where the injection is looked for first
)

// findPulse looks for the injection on the venous curve, which needs no baseline yet: a
// pulse is short, so that the median before it is level enough. Where none is near the
// noted time all of the curve is looked at: a clock may be minutes off.
func findPulse(r raster, loop Loop, volumeML float64) pulse {
	if len(r.H) == 0 {
		return pulse{}
	}
	h := despike(r.H)
	level := provisional(r, h)
	for i := range h {
		h[i] -= level
	}
	least := pulseNoise * max(roughness(r.H), scatter(r, h))
	near := pulseWithin(r, h, pulseReach, least, loop, volumeML)
	if near.hasVolume(volumeML) {
		return near
	}
	if far := pulseWithin(r, h, reachS, least, loop, volumeML); far.hasVolume(volumeML) || !near.Seen {
		return far
	}
	return near
}

// hasVolume tells whether about the stated volume went by.
func (p pulse) hasVolume(volumeML float64) bool {
	return p.Seen && p.VolumeML > volumeML/pulseOff && p.VolumeML < volumeML*pulseOff
}

// pulseWithin looks for pulses as high as the highest one within so many seconds of the
// noted time, and for lower ones: the first that has about the stated volume, else the
// first.
func pulseWithin(r raster, h []float64, reach, least float64, loop Loop, volumeML float64) (first pulse) {
	top := 0.0
	from, to := r.window(-reach, reach)
	for i := from; i < to; i++ {
		top = max(top, min(h[i], fractionMost))
	}
	for height := top; height > least && height > top/pulseDepth; height /= 2 {
		p := nearestPulse(r, h, height, least, loop)
		if p.hasVolume(volumeML) {
			return p
		}
		if !first.Seen {
			first = p
		}
	}
	return first
}

// nearestPulse gives the pulse of about a height that is nearest to the noted time.
func nearestPulse(r raster, h []float64, height, least float64, loop Loop) pulse {
	spans := slices.DeleteFunc(cores(h, height), func(s [2]int) bool {
		return s[1]-s[0] < pulseLeast || stays(h, s, height, least)
	})
	if len(spans) == 0 {
		return pulse{}
	}
	nearest := spans[0]
	for _, s := range spans {
		if math.Abs(r.at(s[0])) < math.Abs(r.at(nearest[0])) {
			nearest = s
		}
	}
	if p := measurePulse(r, h, nearest, loop); p.finite() {
		return p
	}
	return pulse{}
}

// stays tells whether a weak rise does not come back: a drift.
func stays(h []float64, s [2]int, height, least float64) bool {
	if height > 5*least {
		return false
	}
	after := h[min(s[1]+int(3/gridStepS), len(h)):min(s[1]+int(8/gridStepS), len(h))]
	return len(after) == 0 || meanOf(after) > pulseCore*height
}

// provisional is the median before the noted injection, or of all where less than two
// seconds are before it.
func provisional(r raster, h []float64) float64 {
	from, to := r.window(-reachS, 0)
	if to-from < int(2/gridStepS) {
		from, to = 0, len(h)
	}
	return median(append([]float64(nil), h[from:to]...))
}

// scatter is how far a curve strays before the noted injection, in all where it begins
// later: the standard deviation that goes with its median deviation.
func scatter(r raster, h []float64) float64 {
	from, to := r.window(-reachS, 0)
	if to-from < int(2/gridStepS) {
		from, to = 0, len(h)
	}
	d := make([]float64, 0, to-from)
	for _, v := range h[from:to] {
		d = append(d, math.Abs(v))
	}
	return 1.4826 * median(d)
}

// roughness is the standard deviation of white noise of neighbouring points, by the
// median of their differences, which no pulse moves.
func roughness(h []float64) float64 {
	d := make([]float64, 0, len(h))
	for i := 1; i < len(h); i++ {
		d = append(d, math.Abs(h[i]-h[i-1]))
	}
	if len(d) == 0 {
		return 0
	}
	return 1.4826 * median(d) / math.Sqrt2
}

// cores gives the ranges (half-open) in which h is above half of top, two of them as
// one where it does not fall far between.
func cores(h []float64, top float64) (spans [][2]int) {
	low := true
	for i, v := range h {
		switch {
		case v >= pulseCore*top && low:
			spans = append(spans, [2]int{i, i + 1})
			low = false
		case v >= pulseCore*top:
			spans[len(spans)-1][1] = i + 1
		case v < pulseApart*top:
			low = true
		}
	}
	return spans
}

// measurePulse takes the figures of the pulse around a core.
func measurePulse(r raster, h []float64, core [2]int, loop Loop) pulse {
	p := pulse{Seen: true}
	height := 0.0
	edge := (core[1] - core[0]) / 4
	for _, v := range h[core[0]+edge : core[1]-edge] {
		height += v / float64(core[1]-core[0]-2*edge)
	}
	p.Height = min(height, 0.99)
	from, to := core[0], core[1]
	for from > 0 && h[from-1] > pulseFoot*height {
		from--
	}
	late := core[1] + int(min(max(5*loop.PortToSensorML/loop.FlowMLs, 1), pulseReach)/gridStepS)
	for to < min(late, len(h)) && h[to] > pulseFoot*height {
		to++
	}
	p.FromS, p.ToS = r.at(from), r.at(min(to, len(h)-1))
	p.rate(r, h, from, to, core, loop)
	return p
}

// tubeFoot is when the foot of a step comes through a tube, in parts of its mean
// transit: 0.5 where the flow is laminar, 1 where nothing mixes. Taken between.
const tubeFoot = 0.75

// rate turns the pulse into the injection. With H at the sensor and a loop that brings
// Q_loop to the port, indicator goes by at Q_loop H/(1 - H) while it is being injected,
// and at Q_loop H after. When that ended is told by what it left between port and sensor:
// however it mixes there, H over the rest of the time has the area h V/Q_loop.
func (p *pulse) rate(r raster, h []float64, from, to int, core [2]int, loop Loop) {
	left := p.Height * loop.PortToSensorML / loop.FlowMLs
	end, area := to, 0.0
	for end > from && (area < left || end > core[1]) {
		end--
		area += max(h[end], 0) * gridStepS
	}
	p.LeftML = area * loop.FlowMLs
	p.VolumeML = p.LeftML
	for _, v := range h[from:end] {
		v = min(max(v, 0), 0.99)
		p.VolumeML += v / (1 - v) * gridStepS * loop.FlowMLs
	}
	p.RiseS, p.FallS = r.crossing(h, core[0]-1, core[0], pulseCore*p.Height), r.crossing(h, core[1]-1, core[1], pulseCore*p.Height)
	q1 := loop.FlowMLs / (1 - p.Height)
	p.StartS = r.foot(h, core[0], p.Height) - tubeFoot*loop.PortToSensorML/q1
	if end == from { // all of it still stood in the tube
		bolus := min(area/p.Height*loop.FlowMLs, loop.PortToSensorML)
		p.StartS = r.foot(h, core[0], p.Height) - tubeFoot*(loop.PortToSensorML-bolus)/loop.FlowMLs - bolus/q1
		p.DurationS = bolus / q1
	} else {
		p.DurationS = max(r.at(end)-p.StartS, gridStepS)
	}
	p.Unsteadiness = unsteadiness(h, from, end)
}

// crossing gives the time at which h goes through a value between two points.
func (r raster) crossing(h []float64, i, j int, value float64) float64 {
	if i < 0 || j >= len(h) {
		return r.at(min(max(i, 0), len(h)-1))
	}
	share := (value - h[i]) / (h[j] - h[i])
	if !(share >= 0 && share <= 1) {
		share = 0.5
	}
	return r.at(i) + share*gridStepS
}

// foot gives the time at which a rise begins: the straight line through 20 and 50 % of
// the height, taken down to nought.
func (r raster) foot(h []float64, core int, height float64) float64 {
	half := r.crossing(h, core-1, core, pulseCore*height)
	i := core
	for i > 0 && h[i-1] > 0.2*height {
		i--
	}
	fifth := min(r.crossing(h, i-1, i, 0.2*height), half)
	return fifth - (half-fifth)*0.2/(pulseCore-0.2)
}

// unsteadiness compares the rate of the injection with its own mean over the middle of the
// time in which it is above a quarter of its highest, up to when the injection ended.
func unsteadiness(h []float64, from, to int) float64 {
	rate, top := make([]float64, to-from), 0.0
	for i, v := range h[from:to] {
		v = min(max(v, 0), 0.99)
		rate[i] = v / (1 - v)
		top = max(top, rate[i])
	}
	for len(rate) > 0 && rate[0] < steadyFrom*top {
		rate = rate[1:]
	}
	for len(rate) > 0 && rate[len(rate)-1] < steadyFrom*top {
		rate = rate[:len(rate)-1]
	}
	edge := len(rate) / 6
	rate = rate[edge : len(rate)-edge]
	if len(rate) < 3 {
		return 0
	}
	var n, mean, squares, differences float64
	for i, q := range rate {
		if i > 0 {
			differences += (q - rate[i-1]) * (q - rate[i-1])
		}
		n++
		d := q - mean
		mean += d / n
		squares += d * (q - mean)
	}
	return math.Sqrt(max(squares-differences/2, 0)/(n-1)) / mean
}

// despike gives the running median of five points: it leaves edges where they are and
// takes out what lasts two points.
func despike(h []float64) []float64 {
	out := make([]float64, len(h))
	copy(out, h)
	var w [5]float64
	for i := 2; i+2 < len(h); i++ {
		copy(w[:], h[i-2:i+3])
		for a := 1; a < 5; a++ {
			for b := a; b > 0 && w[b] < w[b-1]; b-- {
				w[b], w[b-1] = w[b-1], w[b]
			}
		}
		out[i] = w[2]
	}
	return out
}
