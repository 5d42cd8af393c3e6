package dilution

import (
	"math"
	"slices"
)

// The two sensors as faults name them.
const (
	arterialSensor = "arterial"
	venousSensor   = "venous"
)

// judged is a recording while it is being judged.
type judged struct {
	in  Input
	p   prepared
	all []Fault
	// a and v are what the samples of each sensor look like.
	a, v texture
	// FirstPassS is from the arrival to where the downslope is at a fifth of the peak.
	firstPassS [2]float64
}

// faults judges a recording, whatever it is.
func (p prepared) faults(in Input) []Fault {
	j := &judged{in: in, p: p}
	j.a, j.v = textureOf(in.Arterial, p.Arterial), textureOf(in.Venous, p.Venous)
	j.firstPassS = p.firstPass()
	for _, s := range j.sensors() {
		j.still(s)
		j.gaps(s)
	}
	j.lengths()
	if j.levels() || j.nothing() || j.swapped() {
		return inOrder(j.all)
	}
	for _, s := range j.sensors() {
		j.bursts(s) // first, for air looks like many another fault
	}
	if j.reversed() || j.sizes() {
		return inOrder(j.all)
	}
	for _, s := range j.sensors() {
		j.clipped(s)
	}
	j.unseen()
	j.level()
	j.steps()
	j.stands()
	j.injection()
	return inOrder(j.all)
}

// lost tells whether nothing can be judged by a sensor any more.
func (j *judged) lost(name string) bool {
	return j.has("sensor-unplugged", name) || j.has("curve-flat", name)
}

// disturbed tells whether nothing can be judged by the shape of a curve any more.
func (j *judged) disturbed(name string) bool {
	return j.lost(name) || slices.ContainsFunc(j.all, func(f Fault) bool {
		return f.Rule == "air-burst" && f.Sensor == name && (f.Spoils || name == venousSensor)
	})
}

// sensor is one of the two with all that is known of it.
type sensor struct {
	name string
	Curve
	signal
	texture
	peakH float64
}

// sensors gives those that recorded something.
func (j *judged) sensors() (all []sensor) {
	if len(j.p.Arterial.H) > 0 {
		all = append(all, sensor{arterialSensor, j.in.Arterial, j.p.Arterial, j.a, j.p.PeakH})
	}
	if len(j.p.Venous.H) > 0 {
		all = append(all, sensor{venousSensor, j.in.Venous, j.p.Venous, j.v, j.p.Injection.Height})
	}
	return all
}

// add tells a fault. Figures that are no numbers are left out.
func (j *judged) add(rule, sensor string, atS, found, allowed float64, spoils bool) {
	for _, x := range []*float64{&atS, &found, &allowed} {
		if math.IsInf(*x, 0) {
			*x = math.NaN()
		}
	}
	j.all = append(j.all, Fault{Rule: rule, Sensor: sensor, AtS: atS, Found: found, Allowed: allowed, Spoils: spoils})
}

// has tells whether a rule was named, for a sensor or ("") for any.
func (j *judged) has(rule, sensor string) bool {
	return slices.ContainsFunc(j.all, func(f Fault) bool {
		return f.Rule == rule && (sensor == "" || f.Sensor == sensor)
	})
}

// inOrder gives the faults in the order of Rules, the arterial sensor first.
func inOrder(faults []Fault) []Fault {
	order := map[string]int{}
	for i, r := range Rules() {
		order[r.ID] = i
	}
	slices.SortStableFunc(faults, func(a, b Fault) int { return order[a.Rule] - order[b.Rule] })
	return faults
}

// firstPass is from the arrival until the arterial curve is down to a fifth of its peak;
// nought and the end of the record where that is not known.
func (p prepared) firstPass() [2]float64 {
	r := p.Arterial.On
	if math.IsNaN(p.ArrivalS) || len(r.H) == 0 {
		return [2]float64{p.StartS, p.StartS + afterLeastS}
	}
	h := smooth(r.H, 3)
	i := r.index(p.PeakS)
	for i < len(h)-1 && h[i] > 0.2*p.PeakH {
		i++
	}
	return [2]float64{p.ArrivalS, r.at(i)}
}

// within tells whether two spans of time meet.
func within(fromS, toS float64, span [2]float64) bool { return fromS < span[1] && toS > span[0] }
