package dilution

import "math"

// Where the arterial curve is read: at these multiples of its rise time after the
// first indicator can be there, and at these times in s. The venous one is read where
// the same blood comes by after the tubes between.
var (
	shapeTimes  = [...]float64{0.35, 0.5, 0.65, 0.8, 0.9, 1, 1.15, 1.3, 1.5, 1.75, 2, 2.3, 2.6, 3, 3.5, 4, 4.6, 5.3, 6, 7, 8.5, 10, 12, 15}
	lateTimes   = [...]float64{12, 20, 28, 36, 46, 57, 68}
	secondTimes = [...]float64{1, 1.5, 2, 3, 4.5, 7}
	areaTimes   = [...]float64{1.3, 2, 3, 4, 6, 9, 14}
	lateAreas   = [...]float64{15, 30, 60}
	fallLevels  = [...]float64{0.95, 0.85, 0.7, 0.5, 0.35}
	riseLevels  = [...]float64{0.1, 0.25, 0.75, 0.9}
)

// featureCount is how many numbers describe the curves of one injection.
const featureCount = len(shapeTimes) + len(lateTimes) + 2*len(secondTimes) + len(areaTimes) + len(lateAreas) + len(fallLevels) + len(riseLevels) + 23 + loopFigureCount

// features is a recording in numbers without dimension, and what brings answers back to
// scale.
type features struct {
	Of [featureCount]float64
	Scale
	loops *loops // what the closed loops come to
}

// Scale brings answers back from numbers without dimension: a flow is a multiple of
// FlowMLs, a transit DelayS and a multiple of RiseS.
type Scale struct {
	// FlowMLs is what the closed loops come to; the crude flow where none could be fitted.
	FlowMLs float64
	// RiseS is from when the first indicator can be at the arterial sensor to the half of
	// the rise; CrudeMLs the indicator over peak and rise; DelayS from the mean entry,
	// with the transit of the arterial tube, to the half of the rise.
	CrudeMLs, RiseS, DelayS float64
}

// usualSlope is the standard deviation that a drift is expected to have, as part of
// the peak per s: 3 % of the peak per minute (common practice, no source). A slope that
// a short or noisy baseline cannot tell from that is drawn towards none.
const usualSlope = 0.03 / 60

// leastRiseS keeps a rise above the grid, leastInjectionS an injection.
const leastRiseS, leastInjectionS = 0.3, 0.2

// describe reads the features; ok is false where there is no curve to read. Where near is
// not nil, the closed loops start from those, see fitLoops.
func describe(in Input, p *prepared, near *loops) (f features, ok bool) {
	r := reader{raster: p.Arterial.On, lean: lean(&p.Arterial, p.PeakH)}
	v := reader{raster: p.Venous.On, lean: lean(&p.Venous, p.PeakH)}
	q := in.Loop.FlowMLs
	if len(r.H) < 20 || !(p.PeakH > 0) || !(q > 0) || !(in.VolumeML > 0) {
		return f, false
	}
	r.from = r.index(p.StartS)
	_, peakH := r.top()
	if !(peakH > 0) {
		return f, false
	}
	duration := durationOf(in, p)
	if !(duration > leastInjectionS) {
		duration = leastInjectionS
	}
	e := enters(q, in.Loop.PortToSensorML+in.Loop.SensorToVeinML, in.VolumeML, duration)
	start := e.firstS()
	// The core of a laminar tube goes twice as fast as the mean.
	first := p.StartS + (start+in.Loop.ArteryToSensorML/q)/2
	slope, whole := r.lean.slope, r
	r.takeLoop(in, e)
	peak, peakH := r.top()
	half := r.rises(peak, 0.5*peakH)
	f.RiseS = max(half-first, leastRiseS)
	f.CrudeMLs = in.VolumeML / (peakH * f.RiseS)
	f.FlowMLs = f.CrudeMLs
	f.DelayS = half - p.StartS - e.mean() - in.Loop.ArteryToSensorML/q
	k := keeper{into: &f}
	for _, x := range shapeTimes {
		k.keep(r.mean(first+x*f.RiseS, max(0.15, 0.05*x*f.RiseS)) / peakH)
	}
	for _, t := range lateTimes {
		k.keep(r.mean(first+t, 2) / peakH)
	}
	for _, x := range areaTimes {
		k.keep(logRatio(r.area(first, first+x*f.RiseS), peakH*f.RiseS))
	}
	for _, t := range lateAreas {
		k.keep(logRatio(r.area(first, first+t), peakH*f.RiseS))
	}
	between := (in.Loop.SensorToPortML + in.Loop.PortToSensorML) / q
	for _, x := range secondTimes {
		t, width := first+between+x*f.RiseS, max(0.2, 0.1*x*f.RiseS)
		seen := 1.0
		if !p.Injection.Seen || t-width < p.Injection.ToS+1 {
			seen = 0
		}
		k.keep(seen * (v.mean(t, width)/peakH - whole.mean(t-between, width)/peakH))
		k.keep(seen)
	}
	for _, level := range fallLevels {
		k.keep(logRatio(r.falls(peak, level*peakH)-half, f.RiseS))
	}
	for _, level := range riseLevels {
		k.keep((r.rises(peak, level*peakH) - half) / f.RiseS)
	}
	weight := in.WeightKg
	if !(weight > 0.1) {
		weight = 8
	}
	tubes := [...]float64{in.Loop.ArteryToSensorML, in.Loop.SensorToPortML, in.Loop.PortToSensorML, in.Loop.SensorToVeinML}
	k.keep(math.Log(weight))
	k.keep(math.Log(f.CrudeMLs / math.Pow(weight, 0.75)))
	k.keep(math.Log(f.RiseS))
	k.keep(math.Log(q / f.CrudeMLs))
	k.keep(logRatio(duration, f.RiseS))
	k.keep(logRatio(math.Sqrt(e.variance()), f.RiseS))
	k.keep((e.mean() - start) / f.RiseS)
	k.keep(f.DelayS / f.RiseS)
	for _, ml := range tubes {
		k.keep(logRatio(ml/q, f.RiseS))
	}
	k.keep(math.Log(in.VolumeML / (f.CrudeMLs * f.RiseS)))
	k.keep((r.at(peak) - half) / f.RiseS)
	k.keep(math.Log(1e-4 + p.Arterial.Base.Noise[1]/peakH))
	k.keep(math.Log(1e-4 + p.Arterial.Base.Noise[2]/peakH))
	k.keep(math.Log(1e-4 + p.Arterial.Base.Noise[3]/peakH))
	k.keep(math.Log(1 + p.Arterial.Base.ToS - p.Arterial.Base.FromS))
	k.keep(slope * 60 / peakH)
	k.keep(boolean(in.Postductal))
	k.keep(boolean(p.Injection.Seen) * logRatio(p.Injection.ToS-p.Injection.FromS, duration))
	k.keep(boolean(p.Injection.Seen) * p.Injection.Height * (q + in.VolumeML/duration) / (in.VolumeML / duration))
	k.keep(boolean(p.Injection.Seen) * p.Injection.VolumeML / in.VolumeML)
	l := fitLoops(*p, in, near)
	l.figures(f.CrudeMLs, f.RiseS, k.keep)
	f.loops = &l
	if q := l.flowMLs(); q > 0 && !math.IsInf(q, 0) {
		f.FlowMLs = q
	}
	return f, true
}

// keeper fills the features in order; what is no number becomes nought.
type keeper struct {
	into *features
	n    int
}

func (k *keeper) keep(x float64) {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		x = 0
	}
	k.into.Of[k.n] = x
	k.n++
}

// logRatio is the logarithm of a ratio of times, within what means anything.
func logRatio(a, b float64) float64 {
	if math.IsNaN(a) {
		a = math.Inf(1)
	}
	return math.Log(min(max(a/b, 0.02), 50))
}

func boolean(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}

// leaning is the part of a baseline's slope that is given back to the curve.
type leaning struct{ slope, middleS float64 }

// lean weighs the slope that was taken off against what slopes usually are: its
// standard error follows from the noise of averages over 1 and 3 s.
func lean(s *signal, peakH float64) leaning {
	b := s.Base
	length := b.ToS - b.FromS
	usual := usualSlope * peakH
	if !(length > 1) {
		return leaning{slope: b.SlopePerS, middleS: (b.FromS + b.ToS) / 2}
	}
	// Blocks of three seconds stand for what averages out more slowly than white noise.
	white, slow := b.Noise[1], max(b.Noise[2], b.Noise[3])
	variance := 12*white*white*gridStepS/(length*length*length) + 12*slow*slow*3/(length*length*length)
	kept := usual * usual / (usual*usual + variance)
	return leaning{slope: (1 - kept) * b.SlopePerS, middleS: (b.FromS + b.ToS) / 2}
}

// reader reads a curve less a baseline whose slope was weighed.
type reader struct {
	raster
	lean leaning
	from int
}

func (r reader) value(i int) float64 { return r.H[i] + r.lean.slope*(r.at(i)-r.lean.middleS) }

// takeLoop leaves the curve without what the loop brought back, on points of its own.
func (r *reader) takeLoop(in Input, e entry) {
	h := make([]float64, len(r.H))
	for i := range h {
		h[i] = r.value(i)
	}
	takeLoop(h[r.from:min(r.from+longestFit, len(h))], in.Loop, in.VolumeML, e.mean())
	r.H, r.lean = h[:min(r.from+longestFit, len(h))], leaning{}
}

// longestFit is how many points after the injection are described: 100 s.
const longestFit = 1000

// mean is over a window about a time, of what there is of it; NaN of an empty curve.
func (r reader) mean(atS, halfS float64) float64 {
	if len(r.H) == 0 {
		return math.NaN()
	}
	i, j := r.index(atS-halfS), r.index(atS+halfS)
	sum := 0.0
	for k := i; k <= j; k++ {
		sum += r.value(k)
	}
	return sum / float64(j-i+1)
}

// area is that under the curve from one time to another.
func (r reader) area(fromS, toS float64) float64 {
	sum := 0.0
	for i := r.index(fromS); i < r.index(toS); i++ {
		sum += r.value(i)
	}
	return sum * gridStepS
}

// smoothAt is the mean of five points.
func (r reader) smoothAt(i int) float64 {
	a, b := max(i-2, 0), min(i+2, len(r.H)-1)
	sum := 0.0
	for k := a; k <= b; k++ {
		sum += r.value(k)
	}
	return sum / float64(b-a+1)
}

// top is the highest point after the injection.
func (r reader) top() (at int, h float64) {
	at = r.from
	for i := r.from; i < len(r.H); i++ {
		if v := r.smoothAt(i); v > h {
			at, h = i, v
		}
	}
	return at, h
}

// rises is when the curve last came up through a level before its peak.
func (r reader) rises(peak int, level float64) float64 {
	above := r.smoothAt(peak)
	for i := peak; i > r.from; i-- {
		below := r.smoothAt(i - 1)
		if below < level {
			return r.at(i-1) + gridStepS*(level-below)/(above-below)
		}
		above = below
	}
	return r.at(r.from)
}

// falls is when it first goes down through a level behind the peak, NaN where it does
// not.
func (r reader) falls(peak int, level float64) float64 {
	above := r.smoothAt(peak)
	for i := peak + 1; i < len(r.H); i++ {
		below := r.smoothAt(i)
		if below < level {
			return r.at(i-1) + gridStepS*(above-level)/(above-below)
		}
		above = below
	}
	return math.NaN()
}
