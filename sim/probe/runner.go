package probe

import (
	"context"
	"fmt"
	"slices"

	"holdbench/sim/fanout"
)

// runner plays the cells of a plan and collects what came of them.
type runner struct {
	plan    *plan
	earlier []Outcome          // of an interrupted probe, not yet taken
	known   map[string]Outcome // played while exploring, by key
	results *Results
	report  func(Outcome) error
	cells   int // planned
	err     error
}

// run explores the states first, then plays the cells.
func (r *runner) run(ctx context.Context) error {
	nominal, err := newRoute(r.plan.base, nil)
	if err != nil {
		return err
	}
	if r.plan.options.Pairs {
		return r.runPairs(ctx, nominal)
	}
	e := newExplorer(r.plan)
	routes, err := e.explore(ctx, nominal)
	if err != nil {
		return err
	}
	r.known = e.known
	var jobs []job
	if len(r.plan.options.States) == 0 {
		jobs = wholeRuns(nominal, r.plan.faults)
	}
	for _, route := range routes {
		jobs = append(jobs, r.plan.jobsOn(route)...)
	}
	if err := r.play(ctx, jobs); err != nil {
		return err
	}
	for _, s := range r.plan.states {
		if !e.reached[s] {
			r.results.Unreached = append(r.results.Unreached, s)
		}
	}
	return nil
}

// runPairs plays two faults at once, on the run without faults.
func (r *runner) runPairs(ctx context.Context, nominal *route) error {
	p := newPairPlan(r.plan, nominal)
	f := p.factors()
	rows := Cover(f)
	r.results.Plan, r.results.Unreached = f.Extent(rows), p.unreached()
	return r.play(ctx, p.jobs(rows))
}

// play plays the jobs and takes their outcomes in order.
func (r *runner) play(ctx context.Context, jobs []job) error {
	jobs = slices.DeleteFunc(jobs, func(j job) bool { return len(j.cells) == 0 })
	for i := range jobs {
		r.cells += len(jobs[i].cells)
		if err := r.takeEarlier(&jobs[i]); err != nil {
			return err
		}
	}
	err := playAll(ctx, r.plan.options.Workers, jobs, r.known, func(i int, list []Outcome, cancel context.CancelCauseFunc) {
		r.take(slices.Concat(jobs[i].earlier, list), len(jobs[i].earlier), cancel)
	})
	if r.err != nil {
		return r.err
	}
	return err
}

// takeEarlier gives a job its outcomes from before an interruption.
func (r *runner) takeEarlier(j *job) error {
	n := min(len(r.earlier), len(j.cells))
	for i, had := range r.earlier[:n] {
		if had.Key() != j.cells[i].Key() {
			return fmt.Errorf("the earlier probe has %s in place of %s; it is of another scenario or of other options", had.Key(), j.cells[i].Key())
		}
	}
	j.earlier, r.earlier = r.earlier[:n], r.earlier[n:]
	return nil
}

// take keeps outcomes and reports those that are new.
func (r *runner) take(list []Outcome, old int, cancel context.CancelCauseFunc) {
	if r.err != nil {
		return
	}
	for i, o := range list {
		r.results.Outcomes = append(r.results.Outcomes, o)
		if i < old || r.report == nil {
			continue
		}
		if r.err = r.report(o); r.err != nil {
			cancel(r.err)
			return
		}
	}
	if r.plan.options.Progress != nil {
		r.plan.options.Progress(len(r.results.Outcomes), r.cells)
	}
}

// playAll plays the jobs on all workers and hands over what came of each in order. Cells
// that are known are not played again.
func playAll(ctx context.Context, workers int, jobs []job, known map[string]Outcome, done func(i int, list []Outcome, cancel context.CancelCauseFunc)) error {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	err := fanout.InOrder(ctx, len(jobs), workers, func(i int) ([]Outcome, bool) {
		list, err := jobs[i].run(ctx, known)
		if err != nil && ctx.Err() == nil {
			cancel(err)
		}
		return list, err == nil
	}, func(i int, list []Outcome) { done(i, list, cancel) })
	if err != nil {
		return context.Cause(ctx)
	}
	return nil
}
