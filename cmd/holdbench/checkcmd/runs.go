package checkcmd

import (
	"context"
	"time"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/sim"
	"holdbench/sim/fanout"
)

// runItems runs what can be run. JSON and TAP lines go out as the results come, in
// the order of the items. The error is that of the context.
func runItems(ctx context.Context, a *command.App, items []*item, f *checkFlags) error {
	var cases []*sim.Case
	var places []int
	for n, i := range items {
		if i.ready != nil {
			cases, places = append(cases, i.ready), append(places, n)
		}
	}
	if f.json {
		return runStreaming(ctx, a, cases, places, items, f)
	}
	bar, done := a.Progress("running", 0), 0
	defer bar.Done()
	return runAll(ctx, cases, f.workers, func(n int, o outcome) {
		items[places[n]].take(o)
		done++
		bar.At(done, len(cases))
	})
}

// outcome is a run with the time that it took by the clock.
type outcome struct {
	result *sim.Result
	err    error
	took   time.Duration
}

func (i *item) take(o outcome) { i.result, i.err, i.took = o.result, o.err, o.took }

// runAll runs cases on a number of workers and hands over each outcome in the order of the cases. The
// error is that of the context.
func runAll(ctx context.Context, cases []*sim.Case, workers int, done func(n int, o outcome)) error {
	return fanout.InOrder(ctx, len(cases), workers, func(n int) (outcome, bool) {
		begun := time.Now()
		r, err := sim.RunUntil(ctx, cases[n], nil)
		return outcome{r, err, time.Since(begun)}, r != nil || ctx.Err() == nil
	}, done)
}

// runStreaming writes each result as soon as it is there.
func runStreaming(ctx context.Context, a *command.App, cases []*sim.Case, places []int, items []*item, f *checkFlags) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	var writeErr error
	err := runAll(ctx, cases, f.workers, func(n int, o outcome) {
		i, r := items[places[n]], o.result
		i.take(o)
		if o.err != nil {
			reportUnusable(a, []*item{i})
			return
		}
		if writeErr == nil {
			r.CheckDrop()
			if writeErr = files.WriteJSON(a.Stdout, command.NewRecord(i.ready, r, f.given)); writeErr != nil {
				cancel() // output is closed: the rest is not run
			}
		}
	})
	if writeErr != nil {
		return files.CannotPrint(writeErr)
	}
	return err
}

func ran(items []*item) int {
	n := 0
	for _, i := range items {
		if i.result != nil {
			n++
		}
	}
	return n
}
