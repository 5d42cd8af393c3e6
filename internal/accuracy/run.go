package main

import (
	"context"
	"runtime"
	"sync"
	"sync/atomic"

	"saltmark/internal/circuit"
)

// work is one case that is to be tried.
type work struct {
	group group
	seed  uint64
}

// workOf lists the cases of groups in order.
func workOf(groups []group, base uint64) (list []work) {
	for _, g := range groups {
		for i := range g.n {
			list = append(list, work{g, g.seedOf(base, i)})
		}
	}
	return list
}

// parallel calls f for 0 to n-1 on all processors; what comes out does not depend on
// how many there are, as long as f writes to its own place only.
func parallel(ctx context.Context, n int, f func(i int)) error {
	var next atomic.Int64
	var group sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		group.Go(func() {
			for ctx.Err() == nil {
				i := int(next.Add(1)) - 1
				if i >= n {
					return
				}
				f(i)
			}
		})
	}
	group.Wait()
	return ctx.Err()
}

// runAll tries all cases on a circuit; groups of a circuit of their own run on that.
func runAll(ctx context.Context, c circuit.Circuit, groups []group, base uint64) ([]outcome, error) {
	list := workOf(groups, base)
	out := make([]outcome, len(list))
	err := parallel(ctx, len(list), func(i int) {
		on := c
		if list[i].group.on != nil {
			on = list[i].group.on
		}
		out[i] = tried(on, list[i].group, list[i].seed)
	})
	return out, err
}
