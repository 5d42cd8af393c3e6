package dilution

import "math"

// looksSwapped tells whether the injection went by the sensor that is called arterial:
// its pulse is the higher and the earlier one.
func (j *judged) looksSwapped() bool {
	if len(j.p.Arterial.H) == 0 || len(j.p.Venous.H) == 0 {
		return false
	}
	a, v := j.p.Other, j.p.Injection
	return a.Seen && v.Seen && a.Height > swappedHeight*v.Height && a.FromS < v.FromS-swappedS
}

// swapped names sensors that stand under each other's name.
func (j *judged) swapped() bool {
	if j.lost("") || j.has("baseline-missing", "") || !j.looksSwapped() {
		return false
	}
	j.add("sensors-swapped", "", j.p.Injection.FromS, math.NaN(), math.NaN(), true)
	return true
}

// reversed names curves that fall where they should rise.
func (j *judged) reversed() (found bool) {
	for _, s := range j.sensors() {
		if j.disturbed(s.name) {
			continue
		}
		if up := j.p.Upturned; s.name == venousSensor {
			if j.upturned() && up.VolumeML > j.in.VolumeML/unitFactor {
				j.add("curve-reversed", s.name, up.StartS, math.NaN(), math.NaN(), true)
				found = true
			}
			continue
		}
		from, to := s.On.window(j.p.StartS-10, j.p.StartS+afterLeastS)
		h := smooth(despike(s.On.H[from:to]), 2)
		if len(h) == 0 {
			continue
		}
		low, high := 0, 0
		for i, v := range h {
			if v < h[low] {
				low = i
			}
			if v > h[high] {
				high = i
			}
		}
		if -h[low] > reversedTimes*max(h[high], 0) && -h[low] > s.strays(s.On.at(from+low)) && -h[low] > seenTimes*roughness(h) && lasts(h, low) {
			j.add("curve-reversed", s.name, s.On.at(from+low), math.NaN(), math.NaN(), true)
			found = true
		}
	}
	return found
}

// strays is how far a curve without indicator may be from its baseline at a time.
func (s sensor) strays(atS float64) float64 {
	b := s.Base
	return seenTimes*b.Noise[1] + arrivalNoise*slopeSD(b)*math.Abs(atS-(b.FromS+b.ToS)/2)
}

// lasts tells whether a fall stays below half of its depth for half a second, and has
// turned before the end.
func lasts(h []float64, low int) bool {
	from, to := low, low
	for from > 0 && h[from-1] < h[low]/2 {
		from--
	}
	for to < len(h)-1 && h[to+1] < h[low]/2 {
		to++
	}
	last := h[max(len(h)-int(2/gridStepS), 0):]
	return to-from >= int(0.5/gridStepS) && meanOf(last) > turned*h[low]
}
