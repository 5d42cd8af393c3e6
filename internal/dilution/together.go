package dilution

import (
	"math"
	"slices"
)

// Measured is one injection of a session with what it came to.
type Measured struct {
	Input  Input
	Result *Result
	// Excluded tells that it does not count: a known fault of it casts no doubt on others.
	Excluded bool
}

// How far two injections of a session may be apart in what the venous sensor saw of the
// stated volume, as logarithm of the ratio of both. What sensor, loop flow and tubes do
// wrong is the same in both and divides out; how long the pulse was does not. In 440
// simulated pairs on two circuits, with slow noise and drift, the 99th percentile was 0.08
// where the durations differed by 5 % (standard deviation), and 0.11 and 0.21 where they
// differed by 35 %; none of 880 was beyond the limit (computed).
const (
	volumesApart         = 0.12
	volumesApartDuration = 0.25 // times the logarithm of the ratio of the durations
)

// Together judges the injections of one session, in the order in which they were given,
// by each other: one recording that stands for two injections, and stated volumes that
// do not fit what was seen to go by.
func Together(all []Measured) {
	for i := range all {
		if slices.ContainsFunc(all[:i], func(m Measured) bool { return sameRecording(m.Input.Arterial, all[i].Input.Arterial) }) {
			all[i].Result.spoil(Fault{Rule: "recording-repeated", AtS: math.NaN(), Found: math.NaN(), Allowed: math.NaN(), Spoils: true})
		}
	}
	compareVolumes(slices.DeleteFunc(slices.Clone(all), func(m Measured) bool {
		return m.Excluded || m.Result.Spoiled() || math.IsNaN(m.Result.Quality.VolumeSeen)
	}))
}

// sameRecording tells whether two curves are one: noise never comes twice. A curve that
// stands still says nothing.
func sameRecording(a, b Curve) bool {
	same := func(x, y float64) bool { return x == y || math.IsNaN(x) && math.IsNaN(y) }
	return a.Unit == b.Unit && a.StepS == b.StepS && slices.EqualFunc(a.Values, b.Values, same) &&
		slices.ContainsFunc(a.Values, func(x float64) bool { return !same(x, a.Values[0]) })
}

// compareVolumes names the injections whose stated volume fits fewer than half of the
// others: of two that do not fit nobody knows which is wrong.
func compareVolumes(all []Measured) {
	for i := range all {
		quality := &all[i].Result.Quality
		ratios, least := []float64{}, math.Inf(1)
		for k := range all {
			other := &all[k].Result.Quality
			limit := volumesApart + volumesApartDuration*math.Abs(math.Log(quality.InjectionS/other.InjectionS))
			if apart := quality.VolumeSeen / other.VolumeSeen; k != i && math.Abs(math.Log(apart)) > limit {
				ratios, least = append(ratios, apart), min(least, limit)
			}
		}
		if 2*len(ratios) > len(all)-1 {
			r := all[i].Result
			r.tell(Fault{Rule: "venous-volumes-differ", Sensor: venousSensor, AtS: math.NaN(), Found: median(ratios), Allowed: math.Expm1(least)})
			r.tellDoubt(Volume, math.NaN(), math.NaN())
		}
	}
}
