package dilution

import "math"

// bends tells whether the baseline is surely not straight: the coefficient of a parabola
// has the variance 180 S/T^5.
func (a leveled) bends() bool {
	from, to := a.on.window(a.fromS, a.toS)
	long := float64(to-from) * gridStepS
	if long < distributionLeastS {
		return false
	}
	middle := (a.on.at(from) + a.on.at(to-1)) / 2
	var xx, xv float64
	for i := from; i < to; i++ {
		t := a.on.at(i) - middle
		x := t*t - long*long/12
		xx += x * x
		xv += x * a.on.H[i]
	}
	return math.Abs(xv/xx) > bendTimes*math.Sqrt(180*a.density/math.Pow(long, 5))
}

// steep tells whether the baseline drifts more than one may take to go on straight.
func (a leveled) steep(peakH float64) bool {
	long := a.toS - a.fromS
	return math.Abs(a.slopePerS) > steepPerMin/60*peakH+2*math.Sqrt(12*a.density/(long*long*long))
}

// lateOdd tells whether the late curve rises or falls as no circulation lets it that has
// mixed by then: the blood goes round at V_ind/area and has the volume V_ind/H60.
func (a leveled) lateOdd(p prepared, l late) bool {
	span := p.firstPass()
	from, to := a.on.window(span[0], span[1])
	area := 0.0
	for _, h := range a.on.H[from:to] {
		area += h * gridStepS
	}
	if turns := distributionAfterS * l.h / area; !(turns > settledTurns) {
		return false
	}
	from, to = a.on.window(l.atS-lateWindowS, a.on.at(len(a.on.H)-1))
	fit := straight(a.on, from, to)
	sd := 2 * math.Sqrt(12*a.density*(math.Pow(a.toS-a.fromS, -3)+math.Pow(fit.windowS, -3)))
	return fit.slopePerS > lateRises/60*l.h+sd || fit.slopePerS < lateFalls/60*l.h-sd
}

// apart looks at the venous sensor, which sees the blood of the arterial one later. It
// tells whether they differ, late, by more than noise and tubes allow, or whether the
// venous one drifts so that it is a witness of nothing. A sensor with much more noise than
// the arterial one is not asked.
func (p prepared) apart(in Input, a leveled, l late) bool {
	if !p.Injection.Seen {
		return false
	}
	v, ok := level(p.Venous, p.Venous.Base.ToS)
	if !ok || v.density > coarser*a.density {
		return false
	}
	if v.steep(p.PeakH) || v.bends() {
		return true
	}
	shift := int(math.Round((in.Loop.SensorToPortML + in.Loop.PortToSensorML) / in.Loop.FlowMLs / gridStepS))
	from, _ := a.on.window(max(p.Injection.ToS, p.PeakS)+10, a.on.at(len(a.on.H)-1))
	d := raster{First: a.on.First + from}
	for i := from; from > 0 && i < len(a.on.H) && i+shift < len(v.on.H) && shift >= 0; i++ {
		d.H = append(d.H, a.on.H[i]-v.on.H[i+shift])
		d.Used = append(d.Used, a.on.Used[i] && v.on.Used[i+shift])
	}
	fit := straight(d, 0, len(d.H))
	if float64(fit.n)*gridStepS < distributionLeastS {
		return false
	}
	variance := a.density*a.extrapolated(fit.middleS) + v.density*v.extrapolated(fit.middleS) + (a.density+v.density)/fit.windowS
	return math.Abs(fit.level) > apartTimes*math.Sqrt(variance)+apartShare*l.h
}
