package dilution

import "math"

// Moments of a curve of concentration, with H(t) the volume fraction:
//
//	area      A = integral of H dt, s
//	mean      m = (integral of t H dt)/A, s
//	variance  v = (integral of t^2 H dt)/A - m^2, s2
//
// To the time c they are sums by the trapezoidal rule, beyond it those of the tail
// H(c) exp(-k (t - c)) in closed form: H(c)/k, H(c) (c/k + 1/k^2) and
// H(c) (c^2/k + 2 c/k^2 + 2/k^3). (Calculus; derived here.)
//
//	flow                Q = V_ind/A  (Stewart GN. J Physiol 1897;22:159-183, and Hamilton
//	                    WF and others. Am J Physiol 1932;99:534-551; both from memory)
//	relative dispersion squared: (v - v_entry)/(m - m_entry - V_art/Q_loop)^2, of the way
//	                    from tip to tip, without unit

// moments of a curve.
type moments struct{ areaS, meanS, varianceS2 float64 }

// tail is how a first pass goes on beyond its last sample that is used: height
// exp(-rate (t - fromS)).
type tail struct{ fromS, height, ratePerS float64 }

// at is the height of the tail at a time, s.
func (t tail) at(timeS float64) float64 { return t.height * math.Exp(-t.ratePerS*(timeS-t.fromS)) }

// momentsWithTail are those of evenly spaced heights from startS on, the last of which
// is at tail.fromS or before it, and of the tail.
func momentsWithTail(startS, stepS float64, heights []float64, beyond tail) moments {
	// About fromS, not about nought, so that the variance keeps its digits.
	var area, first, second float64
	for i, h := range heights {
		if i == 0 || i == len(heights)-1 {
			h /= 2
		}
		t := startS + float64(i)*stepS - beyond.fromS
		area += h * stepS
		first += h * t * stepS
		second += h * t * t * stepS
	}
	if k := beyond.ratePerS; k > 0 {
		area += beyond.height / k
		first += beyond.height / (k * k)
		second += 2 * beyond.height / (k * k * k)
	}
	mean := first / area
	return moments{areaS: area, meanS: mean + beyond.fromS, varianceS2: second/area - mean*mean}
}

// relativeDispersion is the squared relative dispersion of the way from tip to tip: m
// are the moments of the first pass at the arterial sensor, in time from the start of
// the injection, arteryS the transit from the arterial tip to the sensor. NaN where the
// way takes no time.
func relativeDispersion(m moments, in entry, arteryS float64) float64 {
	transit := m.meanS - in.mean() - arteryS
	if !(transit > 0) {
		return math.NaN()
	}
	return (m.varianceS2 - in.variance()) / (transit * transit)
}
