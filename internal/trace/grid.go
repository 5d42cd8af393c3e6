package trace

import (
	"cmp"
	"math/bits"
	"slices"
)

// missing stands for a value that is not there, before values become samples.
const missing int64 = -1 << 63

// gapSteps is how many median steps make a gap.
const gapSteps = 2

// grid is an even row of times, in ns.
type grid struct {
	start, period int64
	count         int
	// even tells that every row of the file is a point of the grid.
	even bool
}

// gaps is what lies between rows that are too far apart.
type gaps struct {
	number  int
	first   int   // index of the row after the first gap
	longest int64 // ns
}

// layGrid finds the grid of at least two strictly growing times (ns) that were
// written to unit (ns).
func layGrid(times []int64, unit int64) grid {
	first, last := times[0], times[len(times)-1]
	period := (last - first) / int64(len(times)-1)
	if onGrid(times, period, unit) {
		return grid{start: first, period: period, count: len(times), even: true}
	}
	period = medianStep(times)
	return grid{start: first, period: period, count: int(min((last-first)/period, MaxSamples)) + 1}
}

// roundingSteps is how many units of its last digit a step must have before
// uneven times are put down to their rounding: with fewer, a lost row would look
// like one.
const roundingSteps = 3

// onGrid tells whether the times are those of an even grid, as they were or
// rounded to unit when they were written: all steps alike, or alike but for one
// unit and every time within one unit of its point.
func onGrid(times []int64, period, unit int64) bool {
	shortest, longest := times[1]-times[0], times[1]-times[0]
	point, near := times[0], true
	for i := 1; i < len(times); i++ {
		step := times[i] - times[i-1]
		shortest, longest = min(shortest, step), max(longest, step)
		point += period
		near = near && abs(times[i]-point) <= unit
	}
	return shortest == longest || near && longest-shortest <= unit && period >= roundingSteps*unit
}

// medianStep is the lower of the two middle steps where their number is even, so
// that it is always a step of the file.
func medianStep(times []int64) int64 {
	steps := make([]int64, len(times)-1)
	for i := range steps {
		steps[i] = times[i+1] - times[i]
	}
	slices.SortFunc(steps, cmp.Compare[int64])
	return steps[(len(steps)-1)/2]
}

// findGaps looks for steps of two periods or more on a grid that is not even.
func findGaps(times []int64, g grid) gaps {
	var found gaps
	if g.even {
		return found
	}
	for i := 1; i < len(times); i++ {
		step := times[i] - times[i-1]
		if step < gapSteps*g.period {
			continue
		}
		if found.number == 0 {
			found.first = i
		}
		found.number++
		found.longest = max(found.longest, step)
	}
	return found
}

// resample gives the values at the points of the grid: a row's own value where a
// point meets its time, none within a gap or beside a missing value, else the
// value on the line between two rows, rounded half away from zero. drawn counts
// the points that met no row and lie in no gap.
func resample(values, times []int64, g grid) (points []int64, drawn int) {
	if g.even {
		return values, 0
	}
	points = make([]int64, g.count)
	row := 0
	for k := range points {
		at := g.start + int64(k)*g.period
		for times[row] < at {
			row++
		}
		if times[row] == at {
			points[k] = values[row]
			continue
		}
		points[k] = missing
		step := times[row] - times[row-1]
		if step >= gapSteps*g.period {
			continue
		}
		drawn++
		if values[row-1] != missing && values[row] != missing {
			points[k] = between(values[row-1], values[row], at-times[row-1], step)
		}
	}
	return points, drawn
}

// between gives a + (b-a) part/whole, rounded half away from zero; 0 < part < whole.
func between(a, b, part, whole int64) int64 {
	sign, distance := int64(1), b-a
	if distance < 0 {
		sign, distance = -1, -distance
	}
	high, low := bits.Mul64(uint64(distance), uint64(part))
	quotient, rest := bits.Div64(high, low, uint64(whole))
	value, far := a+sign*int64(quotient), uint64(whole)-rest
	switch next := value + sign; {
	case rest > far:
		return next
	case rest == far && abs(next) > abs(value):
		return next
	}
	return value
}

func abs(x int64) int64 { return max(x, -x) }
