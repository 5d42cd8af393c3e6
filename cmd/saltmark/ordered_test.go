package main

import (
	"context"
	"errors"
	"sync/atomic"
	"testing"
)

func TestResultsComeInTheOrderOfTheWork(t *testing.T) {
	var got []int
	err := inOrder(context.Background(), 100, func(i int) int { return i * i }, func(i, r int) error {
		if r != i*i {
			t.Errorf("piece %d gave %d", i, r)
		}
		got = append(got, i)
		return nil
	})
	if err != nil || len(got) != 100 {
		t.Fatalf("%d results, error %v", len(got), err)
	}
	for i, g := range got {
		if g != i {
			t.Fatalf("place %d holds piece %d", i, g)
		}
	}
}

func TestTheFirstErrorStopsTheWork(t *testing.T) {
	full := errors.New("disk full")
	var done atomic.Int64
	err := inOrder(context.Background(), 10_000, func(i int) int { done.Add(1); return i }, func(i, _ int) error {
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
	err := inOrder(ctx, 10_000, func(i int) int { return i }, func(i, _ int) error {
		if i == 5 {
			cancel()
		}
		return nil
	})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("error %v, want cancelled", err)
	}
}
