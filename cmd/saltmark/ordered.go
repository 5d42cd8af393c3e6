package main

import (
	"context"
	"iter"
	"runtime/debug"
	"sync"
	"sync/atomic"
)

// inOrder does a job on each numbered piece of work, on several at once, and hands
// the results over in the order of the pieces. It holds no more pieces and results
// than a few for each worker, so that their number needs no memory, and stops at the
// first error of take or when the context ends. The pieces are drawn in a goroutine
// of their own. A panic anywhere becomes one of the caller's.
func inOrder[P, R any](ctx context.Context, workers int, pieces iter.Seq2[int, P], do func(P) R, take func(int, R) error) error {
	return inOrderOf(ctx, workers, pieces, func(P) int64 { return 0 }, do, take)
}

// mostUnderWay is how many bytes of pieces may be under way at once, unless a single
// one has more: documents of many megabytes then wait for each other.
const mostUnderWay = 16 << 20

// inOrderOf is inOrder for pieces of very different sizes: size gives the bytes that a
// piece holds until its result is taken.
func inOrderOf[P, R any](ctx context.Context, workers int, pieces iter.Seq2[int, P], size func(P) int64, do func(P) R, take func(int, R) error) error {
	type job struct {
		number int
		piece  P
		size   int64
		result chan R
	}
	begun := make(chan job, 4*workers) // in order
	todo := make(chan job)
	var (
		group  sync.WaitGroup
		panics = make(chan caught, 1)
		under  = newAllowance(mostUnderWay)
	)
	defer passOn(panics)
	defer group.Wait()
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	watch := func() {
		if fault := recover(); fault != nil {
			select {
			case panics <- caught{fault, debug.Stack()}:
			default: // one is enough
			}
			cancel()
		}
	}
	group.Go(func() {
		defer watch()
		defer close(todo)
		defer close(begun)
		for number, piece := range pieces {
			j := job{number, piece, size(piece), make(chan R, 1)}
			if !under.take(ctx, j.size) {
				return
			}
			for _, queue := range []chan job{begun, todo} {
				select {
				case queue <- j:
				case <-ctx.Done():
					return
				}
			}
		}
	})
	for range workers {
		group.Go(func() {
			defer watch()
			for j := range todo {
				j.result <- do(j.piece)
			}
		})
	}
	for j := range begun {
		select {
		case result := <-j.result:
			if ctx.Err() != nil { // it may have come of the interrupt
				return ctx.Err()
			}
			if err := take(j.number, result); err != nil {
				return err
			}
			under.give(j.size)
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	return ctx.Err()
}

// allowance is how many bytes of work are under way. One goroutine takes, one gives.
type allowance struct {
	most  int64
	used  atomic.Int64
	freed chan struct{}
}

func newAllowance(most int64) *allowance {
	return &allowance{most: most, freed: make(chan struct{}, 1)}
}

// take waits until there is room, or nothing else is under way; it tells whether the
// context goes on.
func (a *allowance) take(ctx context.Context, n int64) bool {
	for used := a.used.Load(); used > 0 && used+n > a.most; used = a.used.Load() {
		select {
		case <-a.freed:
		case <-ctx.Done():
			return false
		}
	}
	a.used.Add(n)
	return true
}

func (a *allowance) give(n int64) {
	a.used.Add(-n)
	select {
	case a.freed <- struct{}{}:
	default: // it was told already
	}
}

// passOn hands a panic of another goroutine to this one, which waited for it.
func passOn(panics <-chan caught) {
	select {
	case c := <-panics:
		panic(c)
	default:
	}
}
