package sim

import (
	"context"

	"holdbench/sim/fanout"
)

// Run runs a case to its end. An error means that the sequence's machine was lost
// or the trace could not be written.
func Run(c *Case, trace Tracer) (*Result, error) {
	return RunUntil(context.Background(), c, trace)
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

// RunAll runs the cases on a number of workers and hands over each result in the
// order of the cases, so that what is written does not depend on the workers. It
// stops early, with the context's error, when the context ends; what was handed
// over until then is complete.
func RunAll(ctx context.Context, cases []*Case, workers int, done func(i int, r *Result, err error)) error {
	type outcome struct {
		result *Result
		err    error
	}
	return fanout.InOrder(ctx, len(cases), workers, func(i int) (outcome, bool) {
		r, err := RunUntil(ctx, cases[i], nil)
		return outcome{r, err}, r != nil || ctx.Err() == nil
	}, func(i int, o outcome) { done(i, o.result, o.err) })
}
