package probe

import (
	"context"
	"fmt"
	"slices"
	"time"

	"holdbench/plant/problem"
	"holdbench/sim"
	"holdbench/sim/catalogue"
	"holdbench/sim/fanout"
)

// job is the cells of one moment, which share the run up to it; or those of whole runs.
type job struct {
	route   *route
	copy    *sim.Bench // nil: every cell is a whole run
	tick    int64
	elapsed time.Duration // from the moment as written until the copy; see startAt
	cells   []plannedCell
	earlier []Outcome // outcomes of the first cells, from before an interruption
}

// plannedCell is a cell with its fault, and before that the other fault of a pair.
type plannedCell struct {
	Cell
	faults []catalogue.Selection
}

// planCell plans a fault at one of its severities and a moment, on a route.
func planCell(f *catalogue.Entry, s severity, at moment, route []string) plannedCell {
	named := catalogue.Selection{Entry: *f, Severity: s.value, When: sim.Moment{State: at.state, After: at.after}}
	return plannedCell{Cell{
		Fault: f.Name, Group: f.Group, Severity: s.name, Number: s.value,
		State: at.state, Moment: at.name, AfterS: at.after.Seconds(), Route: route, Spec: named.String(),
	}, []catalogue.Selection{named}}
}

// wholeRuns are the jobs of the faults that are there from the start.
func wholeRuns(nominal *route, faults []catalogue.Entry) []job {
	var jobs []job
	for i := range faults {
		f := &faults[i]
		if !f.WholeRun() {
			continue
		}
		j := job{route: nominal}
		for _, s := range severities(f) {
			j.cells = append(j.cells, planCell(f, s, moment{name: AtStart}, nominal.faults))
		}
		jobs = append(jobs, j)
	}
	return jobs
}

// cellJobs are those of the states that a route serves.
func (p *scope) cellJobs(r *route) []job {
	var jobs []job
	for i := range r.assigned {
		v := &r.assigned[i]
		if len(p.options.States) > 0 && !slices.Contains(p.options.States, v.state) {
			continue
		}
		for _, at := range r.moments(v) {
			jobs = append(jobs, momentJob(r, v, at, p.faults))
		}
	}
	return jobs
}

// momentJob are the cells of a moment.
func momentJob(r *route, v *visit, at moment, faults []catalogue.Entry) job {
	j := job{route: r}
	j.startAt(v, at)
	for i := range faults {
		f := &faults[i]
		if f.WholeRun() || slices.Contains(r.names, f.Name) {
			continue
		}
		for _, s := range severities(f) {
			j.cells = append(j.cells, planCell(f, s, at, r.faults))
		}
	}
	return j
}

// severities are the numbers at which a fault is tried.
func severities(f *catalogue.Entry) []severity {
	if f.Scale == nil {
		return []severity{{}}
	}
	s := f.Scale
	list := []severity{{"mild", s.Mild}, {"usual", s.Usual}, {"severe", s.Severe}}
	return slices.CompactFunc(list, func(a, b severity) bool { return a.value == b.value })
}

type severity struct {
	name  string
	value float64
}

// startAt lets the cells start from a copy of a visit. The copy is one tick after the moment if
// that is the tick that entered the state; a fault that ends by itself is over so much earlier.
func (j *job) startAt(v *visit, at moment) {
	j.copy, j.tick = v.copy, at.tick
	j.elapsed = time.Duration(at.tick-v.entered)*j.route.c.Rig.Clock.Tick - at.after
}

// playJobs plays the jobs on all workers and hands over what came of each in order. Cells
// that are known are not played again.
func playJobs(ctx context.Context, workers int, jobs []job, known map[string]Outcome, done func(i int, list []Outcome, cancel context.CancelCauseFunc)) error {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	err := fanout.InOrder(ctx, len(jobs), workers, func(i int) ([]Outcome, bool) {
		list, err := jobs[i].playCells(ctx, known)
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

// playCells plays the cells that were not played before an interruption, or while exploring.
func (j *job) playCells(ctx context.Context, known map[string]Outcome) ([]Outcome, error) {
	var list []Outcome
	start := j.start()
	for i := range j.cells[len(j.earlier):] {
		c := &j.cells[len(j.earlier)+i]
		if o, played := known[c.Key()]; played {
			list = append(list, o)
			continue
		}
		o, err := j.playCell(ctx, start, c)
		if err != nil {
			return nil, fmt.Errorf("probe %s: %w", c.Key(), err)
		}
		list = append(list, o)
	}
	return list, nil
}

// start is the run that the cells share, at their moment.
func (j *job) start() *sim.Bench {
	if j.copy == nil || len(j.earlier) == len(j.cells) {
		return nil
	}
	b := j.route.meter.copied(j.copy.Clone())
	from := b.Ticks()
	b.Advance(j.tick - b.Ticks())
	j.route.meter.ran(b, from)
	return b
}

// bench is the run of one cell, with its faults due next.
func (j *job) bench(start *sim.Bench, c *plannedCell) (*sim.Bench, error) {
	if start != nil {
		return withInjected(j.route.meter.copied(start.Clone()), c.faults, j.elapsed)
	}
	made, err := catalogue.WithFaults(j.route.c, c.faults...)
	if err != nil {
		return nil, problem.Of(err)[0]
	}
	return sim.NewBench(made, nil), nil
}

// withInjected injects faults that begin at once, and were due earlier.
func withInjected(b *sim.Bench, faults []catalogue.Selection, late time.Duration) (*sim.Bench, error) {
	for i := range faults {
		e := faults[i].Entry
		f := sim.Fault{For: e.Duration, Set: e.Values(&b.Case().Rig, faults[i].Severity)} // at once
		if f.For > late {
			f.For -= late
		}
		if err := b.Inject(f); err != nil {
			return nil, err
		}
	}
	return b, nil
}

// twin is the run that the cells share, without their faults.
func (j *job) twin(start *sim.Bench) *sim.Bench {
	if start != nil {
		return start
	}
	return sim.NewBench(j.route.c, nil)
}

// playCell runs a cell to its end.
func (j *job) playCell(ctx context.Context, shared *sim.Bench, c *plannedCell) (Outcome, error) {
	b, err := j.bench(shared, c)
	if err != nil {
		return Outcome{}, err
	}
	watch := &firstSign{route: j.route, scanS: j.route.c.Rig.Clock.FunctionalScan.Seconds()}
	b.Trace(watch)
	start := b.Keep() // with the fault due next, to find out which reaction was possible
	states := j.route.c.Sequence.States
	seen := make([]bool, len(states))
	path := []string{}
	note := func() {
		if i := b.StateIndex(); !seen[i] {
			seen[i] = true
			path = append(path, states[i].Name)
		}
	}
	note()
	for n := 0; b.ToNextScan(); n++ {
		note()
		if n%1024 == 0 && ctx.Err() != nil {
			return Outcome{}, ctx.Err()
		}
	}
	note()
	j.route.meter.ran(b, start.Ticks())
	result, err := b.Result()
	if err != nil {
		return Outcome{}, err
	}
	o := outcomeOf(c.Cell, result, watch.found, path)
	o.NeverCame = slices.ContainsFunc(result.Expectations, func(e sim.Expectation) bool { return e.Name == "faults" && !e.Met })
	if o.failed() && !o.Late {
		var unseen []string
		if c.Group != catalogue.EngineeringGroup { // wrong data are the engineer's to find, and no signal ever shows them
			unseen = watch.unseen(result)
		}
		o.excuse(start.BestReaction(j.twin(shared)), unseen)
	}
	return o, nil
}
