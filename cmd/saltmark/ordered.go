package main

import (
	"context"
	"iter"
	"runtime/debug"
	"sync"
)

// inOrder does a job on each numbered piece of work, on several at once, and hands
// the results over in the order of the pieces. It holds no more pieces and results
// than a few for each worker, so that their number needs no memory, and stops at the
// first error of take or when the context ends. The pieces are drawn in a goroutine
// of their own. A panic anywhere becomes one of the caller's.
func inOrder[P, R any](ctx context.Context, workers int, pieces iter.Seq2[int, P], do func(P) R, take func(int, R) error) error {
	type job struct {
		number int
		piece  P
		result chan R
	}
	begun := make(chan job, 4*workers) // in order
	todo := make(chan job)
	var (
		group  sync.WaitGroup
		panics = make(chan caught, 1)
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
			j := job{number, piece, make(chan R, 1)}
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
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	return ctx.Err()
}

// passOn hands a panic of another goroutine to this one, which waited for it.
func passOn(panics <-chan caught) {
	select {
	case c := <-panics:
		panic(c)
	default:
	}
}
