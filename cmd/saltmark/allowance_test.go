package main

import (
	"context"
	"sync/atomic"
	"testing"
)

// However large the pieces are, no more bytes than allowed are under way, or one piece.
func TestLargePiecesWaitForEachOther(t *testing.T) {
	for _, size := range []int64{1, mostUnderWay / 4, mostUnderWay * 3} {
		var under, most atomic.Int64
		pieces := func(yield func(int, int64) bool) {
			for i := range 50 {
				if !yield(i, size) {
					return
				}
			}
		}
		do := func(n int64) int64 {
			now := under.Add(n)
			for was := most.Load(); now > was && !most.CompareAndSwap(was, now); was = most.Load() {
			}
			return n
		}
		taken := 0
		err := inOrderOf(context.Background(), 8, pieces, func(n int64) int64 { return n }, do, func(_ int, n int64) error {
			under.Add(-n)
			taken++
			return nil
		})
		if err != nil || taken != 50 || most.Load() > max(mostUnderWay, size) {
			t.Errorf("pieces of %d: %d taken, %d under way, error %v", size, taken, most.Load(), err)
		}
	}
}

func TestAWaitForRoomEndsWithTheContext(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	a := newAllowance(10)
	if !a.take(ctx, 8) {
		t.Fatal("the first piece waits")
	}
	cancel()
	if a.take(ctx, 8) {
		t.Error("the second piece has room")
	}
}
