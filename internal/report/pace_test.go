package report

import (
	"math"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// A step ends where the next begins, and each time is in the step whose end is the
// first that is not before it.
func TestStepsOfThePaceLeaveNoGap(t *testing.T) {
	for step := range stepOf(math.MaxInt64) {
		end := endOf(step)
		if stepOf(end) != step || stepOf(end+1) != step+1 {
			t.Fatalf("step %d ends at %d ns, which is in step %d; the next is in %d", step, end, stepOf(end), stepOf(end+1))
		}
	}
	if last := stepOf(math.MaxInt64); last >= len(pace{}.steps) || endOf(last) != math.MaxInt64 {
		t.Errorf("the longest time is in step %d, which ends at %d", last, endOf(last))
	}
}

// The share is told as the sorted list tells it, to one step: 1 of 32.
func TestThePaceTellsAShareToAboutThreeInAHundred(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		all := rapid.SliceOfN(rapid.Int64Range(0, int64(time.Hour)), 1, 200).Draw(t, "times")
		var p pace
		for _, d := range all {
			p.add(time.Duration(d))
		}
		slices.Sort(all)
		for _, percent := range []int{1, 50, 95, 100} {
			want := all[(len(all)*percent+99)/100-1]
			if got := int64(p.within(percent)); got < want || float64(got) > float64(want)*(1+1.0/stepsOfDouble) {
				t.Fatalf("%d of 100 within %d, want %d", percent, got, want)
			}
		}
	})
}

func TestAClockThatGoesBackIsNoTime(t *testing.T) {
	var p pace
	p.add(-time.Second)
	if p.within(50) != 0 || p.longest != 0 {
		t.Errorf("within %v, longest %v", p.within(50), p.longest)
	}
}
