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

// aheadPerWorker is how many pieces a worker may be ahead of the oldest that is not handed
// over yet. It bounds what waits, and so the memory, whatever the number of pieces.
const aheadPerWorker = 64

// InOrder does n pieces of work on a number of workers and hands over what came of
// each in their order. A piece says whether it was finished; one that was not, or the
// end of the context, ends it all with the context's error.
func InOrder[T any](ctx context.Context, n, workers int, work func(i int) (T, bool), done func(i int, outcome T)) error {
	type finished struct {
		outcome T
		whole   bool
	}
	going, stop := context.WithCancel(ctx)
	workers = max(1, workers)
	slots := make([]chan finished, min(n, workers*aheadPerWorker))
	for i := range slots {
		slots[i] = make(chan finished, 1)
	}
	free := make(chan struct{}, len(slots)) // one taken for each piece that is not handed over
	next := make(chan int)
	var group sync.WaitGroup
	for range workers {
		group.Go(func() {
			for i := range next {
				outcome, whole := work(i)
				slots[i%len(slots)] <- finished{outcome, whole}
			}
		})
	}
	group.Go(func() {
		defer close(next)
		for i := range n {
			if !sent(going, free, struct{}{}) || !sent(going, next, i) {
				return
			}
		}
	})
	defer group.Wait()
	defer stop()
	for i := range n {
		select {
		case o := <-slots[i%len(slots)]:
			if !o.whole {
				return ctx.Err()
			}
			done(i, o.outcome)
			<-free
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	return nil
}

// sent hands a value on unless the context ends first.
func sent[T any](ctx context.Context, to chan<- T, value T) bool {
	select {
	case to <- value:
		return true
	case <-ctx.Done():
		return false
	}
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
