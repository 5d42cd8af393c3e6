package main

import (
	"context"
	"errors"
	"iter"
	"runtime"
	"sync/atomic"
	"testing"
)

// upTo gives n numbered pieces, each its own number.
func upTo(n int) iter.Seq2[int, int] {
	return func(yield func(int, int) bool) {
		for i := range n {
			if !yield(i, i) {
				return
			}
		}
	}
}

func TestResultsComeInTheOrderOfTheWork(t *testing.T) {
	var got []int
	err := inOrder(context.Background(), runtime.GOMAXPROCS(0), upTo(100), func(i int) int { return i * i }, func(i, r int) error {
		if r != i*i {
			t.Errorf("piece %d gave %d", i, r)
		}
		got = append(got, r)
		return nil
	})
	if err != nil || len(got) != 100 {
		t.Fatalf("%d results, error %v", len(got), err)
	}
	for i, g := range got {
		if g != i*i {
			t.Fatalf("place %d holds %d", i, g)
		}
	}
}

func TestTheFirstErrorStopsTheWork(t *testing.T) {
	full := errors.New("disk full")
	var done atomic.Int64
	err := inOrder(context.Background(), runtime.GOMAXPROCS(0), upTo(10_000), func(i int) int { done.Add(1); return i }, func(i, _ int) error {
		if i == 3 {
			return full
		}
		return nil
	})
	if !errors.Is(err, full) {
		t.Errorf("error %v, want that of the taker", err)
	}
	if n := done.Load(); n > 200 {
		t.Errorf("%d pieces were done after the stop", n)
	}
}

func TestACancelledContextStopsTheWork(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	err := inOrder(ctx, 3, upTo(10_000), func(i int) int { return i }, func(i, _ int) error {
		if i == 5 {
			cancel()
		}
		return nil
	})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("error %v, want cancelled", err)
	}
}

// The number of pieces needs no memory: they are drawn as they are worked on.
func TestPiecesAreDrawnOnlyAFewAhead(t *testing.T) {
	var drawn, taken atomic.Int64
	pieces := func(yield func(int, int) bool) {
		for i := range 1_000 {
			if ahead := drawn.Add(1) - taken.Load(); ahead > 100 {
				t.Errorf("%d pieces are drawn and not taken", ahead)
				return
			}
			if !yield(i, i) {
				return
			}
		}
	}
	err := inOrder(context.Background(), 2, pieces, func(i int) int { return i }, func(int, int) error {
		taken.Add(1)
		return nil
	})
	if err != nil || taken.Load() != 1_000 {
		t.Errorf("%d taken, error %v", taken.Load(), err)
	}
}

// Whichever goroutine it comes from, a panic ends with the one who waits.
func TestAPanicAnywhereIsOneOfTheCaller(t *testing.T) {
	broken := func(yield func(int, int) bool) {
		yield(0, 0)
		panic("broken")
	}
	do := func(i int) int { return i }
	take := func(int, int) error { return nil }
	for name, run := range map[string]func() error{
		"the pieces": func() error { return inOrder(context.Background(), 2, broken, do, take) },
		"the work": func() error {
			return inOrder(context.Background(), 2, upTo(100), func(i int) int { panic("broken") }, take)
		},
		"the taker": func() error {
			return inOrder(context.Background(), 2, upTo(100), do, func(int, int) error { panic("broken") })
		},
	} {
		func() {
			defer func() {
				fault := recover()
				if c, ok := fault.(caught); ok {
					fault = c.fault
				}
				if fault != "broken" {
					t.Errorf("%s: %v", name, fault)
				}
			}()
			t.Errorf("%s: no panic, error %v", name, run())
		}()
	}
}
