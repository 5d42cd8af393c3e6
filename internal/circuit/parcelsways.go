package circuit

import (
	"math"
	"slices"
)

// ledger adds up what has entered a way: volume, and indicator in it. What lies between
// two volumes is read as a difference, so that indicator moves with its blood at any
// flow, and none is made, lost or smeared.
type ledger struct {
	lines []line
	// What has entered in all.
	ml, indicatorML float64
}

// line is one step of a ledger: the totals before it, and the concentration in it.
type line struct{ ml, indicatorML, share float64 }

// reserve makes room for so many steps.
func (l *ledger) reserve(steps int) { l.lines = slices.Grow(l.lines, steps) }

// enter adds the blood of one step and the indicator in it. No blood, no entry.
func (l *ledger) enter(ml, indicatorML float64) {
	if ml <= 0 {
		return
	}
	l.lines = append(l.lines, line{l.ml, l.indicatorML, indicatorML / ml})
	l.ml += ml
	l.indicatorML += indicatorML
}

// strand is one of the parallel lines of a way, in which nothing mixes: what entered
// first leaves first.
type strand struct {
	// share of the flow of the way that this strand takes.
	share float64
	// behindML is how much enters the whole way while a parcel is in the strand.
	behindML float64
	// leftML is the indicator that had left by the last step, had all gone this way; at
	// is where that was read.
	leftML float64
	at     int
}

// way is a vessel or a tissue: strands with one entrance and one exit, where they mix
// by flow.
type way struct {
	entered *ledger
	strands []strand
	outML   float64
}

// newWay makes a way of the given volume, by a law of transit. It starts without
// indicator.
func newWay(entered *ledger, volumeML float64, law transitLaw) *way {
	w := &way{entered: entered, strands: make([]strand, len(law))}
	for i, part := range law {
		w.strands[i] = strand{share: part.share, behindML: volumeML * part.transit}
	}
	return w
}

// leave lets a volume out of the way, and gives the indicator in it.
func (w *way) leave(ml float64) (indicatorML float64) {
	w.outML += ml
	lines := w.entered.lines
	for i := range w.strands {
		s := &w.strands[i]
		// A strand that is shorter than a step gives the rest in the next one.
		to := min(w.outML-s.behindML, w.entered.ml)
		if to <= 0 {
			continue
		}
		at := s.at
		for at+1 < len(lines) && lines[at+1].ml < to {
			at++
		}
		from := &lines[at]
		left := from.indicatorML + (to-from.ml)*from.share
		indicatorML += s.share * (left - s.leftML)
		s.leftML, s.at = left, at
	}
	return indicatorML
}

// through is enter and leave in one: what goes in pushes out as much.
func (w *way) through(ml, indicatorML float64) (outML float64) {
	w.entered.enter(ml, indicatorML)
	return w.leave(ml)
}

// volumeML is the blood in the way.
func (w *way) volumeML() (ml float64) {
	for _, s := range w.strands {
		ml += s.share * s.behindML
	}
	return ml
}

// held is the indicator in the way.
func (w *way) held() (indicatorML float64) {
	for _, s := range w.strands {
		indicatorML += s.share * (w.entered.indicatorML - s.leftML)
	}
	return indicatorML
}

// transitLaw tells which part of the flow takes how long, as part of the mean. The
// shares add up to one, and so does share times transit.
type transitLaw []struct{ share, transit float64 }

// logNormalLaw is the log-normal law of that standard deviation of the logarithm, cut
// into strands of equal flow, each with the mean transit of its part:
// n (Phi(z2 - spread) - Phi(z1 - spread)) between the quantiles z1 and z2 of the normal
// distribution.
func logNormalLaw(spread float64, n int) transitLaw {
	law := make(transitLaw, n)
	below := 0.0
	for i := range law {
		upTo := 1.0
		if i < n-1 {
			z := math.Sqrt2 * math.Erfinv(2*float64(i+1)/float64(n)-1)
			upTo = math.Erfc(-(z-spread)/math.Sqrt2) / 2
		}
		law[i].share, law[i].transit = 1/float64(n), float64(n)*(upTo-below)
		below = upTo
	}
	return law
}

// laminarLaw is that of a tube whose profile of speed is the parabola in part: speed =
// (1 - part) + 2 part y, where y is 1 - (r/R)^2, 0 at the wall and 1 in the axis. It is
// cut into n layers, thinner near the wall. Without diffusion between the layers; part
// stands for what bends and joints mix.
func laminarLaw(part float64, n int) transitLaw {
	law := make(transitLaw, n)
	inner := 0.0
	for i := range law {
		outer := math.Pow(float64(i+1)/float64(n), 1.5)
		area := outer - inner
		speed := 1 - part + part*(inner+outer)
		law[i].share, law[i].transit = area*speed, 1/speed
		inner = outer
	}
	return law
}

// beside puts laws side by side: shares of the flow, and by how much each is slower
// than the mean. It scales the latter so that the mean of all is one.
func beside(laws []transitLaw, share, slower []float64) transitLaw {
	flow, mean := 0.0, 0.0
	for i := range laws {
		flow += share[i]
		mean += share[i] * slower[i]
	}
	var all transitLaw
	for i, law := range laws {
		for _, part := range law {
			part.share *= share[i] / flow
			part.transit *= slower[i] * flow / mean
			all = append(all, part)
		}
	}
	return all
}
