package report

import (
	"math/bits"
	"time"
)

// pace counts how long the work on each document took, in steps of about 3 %, so
// that it needs the same memory for any number of documents.
type pace struct {
	steps   [64 * stepsOfDouble]uint32
	n       int
	longest time.Duration
}

// stepsOfDouble is the number of steps between a time and twice that time.
const stepsOfDouble = 32

func (p *pace) add(d time.Duration) {
	d = max(d, 0)
	p.steps[stepOf(d)]++
	p.n++
	p.longest = max(p.longest, d)
}

// within gives the time within which that share of the documents (of 100) were
// done: the end of the step, and never more than the longest.
func (p *pace) within(percent int) time.Duration {
	wanted := (p.n*percent + 99) / 100
	seen := 0
	for step, n := range p.steps {
		if seen += int(n); seen >= wanted && n > 0 {
			return min(endOf(step), p.longest)
		}
	}
	return p.longest
}

// stepOf gives the step of a time: the place of its highest bit, and the bits behind
// that one.
func stepOf(d time.Duration) int {
	if d < stepsOfDouble {
		return int(d)
	}
	double := bits.Len64(uint64(d)) - bits.Len(stepsOfDouble)
	return double*stepsOfDouble + int(d>>double)
}

// endOf gives the longest time of a step.
func endOf(step int) time.Duration {
	if step < 2*stepsOfDouble {
		return time.Duration(step)
	}
	double := step/stepsOfDouble - 1
	return time.Duration(step%stepsOfDouble+stepsOfDouble+1)<<double - 1
}
