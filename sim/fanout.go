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
	return InOrder(ctx, len(cases), workers, func(i int) (outcome, bool) {
		r, err := RunUntil(ctx, cases[i], nil)
		return outcome{r, err}, r != nil || ctx.Err() == nil
	}, func(i int, o outcome) { done(i, o.result, o.err) })
}

// InOrder does n pieces of work on a number of workers and hands over what came of
// each in their order. A piece says whether it was finished; one that was not, or the
// end of the context, ends it all with the context's error.
func InOrder[T any](ctx context.Context, n, workers int, work func(i int) (T, bool), done func(i int, outcome T)) error {
	type finished struct {
		outcome T
		whole   bool
	}
	outcomes := make([]chan finished, n)
	for i := range outcomes {
		outcomes[i] = make(chan finished, 1)
	}
	next := make(chan int)
	var group sync.WaitGroup
	for range max(1, workers) {
		group.Go(func() {
			for i := range next {
				outcome, whole := work(i)
				outcomes[i] <- finished{outcome, whole}
			}
		})
	}
	group.Go(func() {
		defer close(next)
		for i := range n {
			select {
			case next <- i:
			case <-ctx.Done():
				return
			}
		}
	})
	defer group.Wait()
	for i := range n {
		select {
		case o := <-outcomes[i]:
			if !o.whole {
				return ctx.Err()
			}
			done(i, o.outcome)
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
