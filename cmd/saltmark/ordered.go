package main

import (
	"context"
	"runtime"
	"sync"
)

// inOrder does a job on each of n pieces of work with all cores and hands the
// results over in the order of the pieces. It holds no more results than a few
// for each core, and stops at the first error of take or when the context ends.
func inOrder[T any](ctx context.Context, n int, do func(i int) T, take func(i int, result T) error) error {
	type piece struct {
		i      int
		result chan T
	}
	workers := runtime.GOMAXPROCS(0)
	begun := make(chan piece, 4*workers) // in order
	todo := make(chan piece)
	var group sync.WaitGroup
	defer group.Wait()
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	group.Go(func() {
		defer close(todo)
		defer close(begun)
		for i := range n {
			p := piece{i, make(chan T, 1)}
			for _, queue := range []chan piece{begun, todo} {
				select {
				case queue <- p:
				case <-ctx.Done():
					return
				}
			}
		}
	})
	for range workers {
		group.Go(func() {
			for p := range todo {
				p.result <- do(p.i)
			}
		})
	}
	for p := range begun {
		select {
		case result := <-p.result:
			if err := take(p.i, result); err != nil {
				return err
			}
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	return ctx.Err()
}
