// Package fanout does numbered pieces of work on a number of workers and hands over what
// came of them in the order of their numbers, so that nothing written depends on the
// workers. It is the only place below cmd that starts goroutines.
package fanout

import (
	"context"
	"sync"
)

// aheadPerWorker is how many pieces a worker may be ahead of the oldest that is not handed
// over yet. It bounds what waits, and so the memory, whatever the number of pieces.
const aheadPerWorker = 64

// finished is a piece of work that a worker is done with.
type finished[T any] struct {
	outcome  T
	complete bool
}

// InOrder does n pieces of work on a number of workers and hands over what came of
// each in their order. A piece says whether it was completed; one that was not, or the
// end of the context, ends it all with the context's error. What was handed over until then
// is complete.
func InOrder[T any](ctx context.Context, n, workers int, work func(i int) (T, bool), done func(i int, outcome T)) error {
	going, stop := context.WithCancel(ctx)
	workers = max(1, min(workers, n)) // no more than there is work for
	slots := make([]chan finished[T], min(n, workers*aheadPerWorker))
	for i := range slots {
		slots[i] = make(chan finished[T], 1)
	}
	free := make(chan struct{}, len(slots)) // one taken for each piece that is not handed over
	next := make(chan int)
	var group sync.WaitGroup
	for range workers {
		group.Go(func() {
			for i := range next {
				outcome, complete := work(i)
				slots[i%len(slots)] <- finished[T]{outcome, complete}
			}
		})
	}
	group.Go(func() { number(going, n, free, next) })
	defer group.Wait()
	defer stop()
	return handOver(ctx, n, slots, free, done)
}

// number hands the numbers to the workers while there is room for what comes of them.
func number(ctx context.Context, n int, free chan<- struct{}, next chan<- int) {
	defer close(next)
	for i := range n {
		if !send(ctx, free, struct{}{}) || !send(ctx, next, i) {
			return
		}
	}
}

// handOver passes the outcomes on in their order.
func handOver[T any](ctx context.Context, n int, slots []chan finished[T], free <-chan struct{}, done func(i int, outcome T)) error {
	for i := range n {
		if ctx.Err() != nil { // whatever is ready
			return ctx.Err()
		}
		select {
		case o := <-slots[i%len(slots)]:
			if !o.complete {
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

// send hands a value on unless the context ends first.
func send[T any](ctx context.Context, to chan<- T, value T) bool {
	select {
	case to <- value:
		return true
	case <-ctx.Done():
		return false
	}
}
