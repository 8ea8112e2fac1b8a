package sim

import (
	"context"
	"sync"
)

// RunAll runs the cases on a number of workers and hands over each result in the
// order of the cases, so that what is written does not depend on the workers. It
// stops early, with the context's error, when the context ends; what was handed
// over until then is complete.
func RunAll(ctx context.Context, cases []*Case, workers int, done func(i int, r *Result, err error)) error {
	type outcome struct {
		result *Result
		err    error
	}
	outcomes := make([]chan outcome, len(cases))
	for i := range outcomes {
		outcomes[i] = make(chan outcome, 1)
	}
	next := make(chan int)
	var group sync.WaitGroup
	for range max(1, workers) {
		group.Go(func() {
			for i := range next {
				result, err := RunUntil(ctx, cases[i], nil)
				outcomes[i] <- outcome{result, err}
			}
		})
	}
	group.Go(func() {
		defer close(next)
		for i := range cases {
			select {
			case next <- i:
			case <-ctx.Done():
				return
			}
		}
	})
	defer group.Wait()
	for i := range cases {
		select {
		case o := <-outcomes[i]:
			if ctx.Err() != nil && o.result == nil {
				return ctx.Err()
			}
			done(i, o.result, o.err)
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	return nil
}

// RunUntil runs a case to its end, or gives up with the context's error when the
// context ends. The trace may be nil.
func RunUntil(ctx context.Context, c *Case, trace Tracer) (*Result, error) {
	const ticksBetweenLooks = 4096
	b := NewBench(c, trace)
	for n := 0; b.Tick(); n++ {
		if n%ticksBetweenLooks == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
	}
	return b.Result()
}
