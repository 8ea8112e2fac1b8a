package probe

import (
	"context"
	"fmt"
	"slices"
	"time"

	"holdbench/plant/problem"
	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// job is the cells of one moment, which share the run up to it; or those of whole runs.
type job struct {
	route   *route
	copy    *sim.Bench // nil: every cell is a whole run
	tick    int64
	elapsed time.Duration // from the moment as written until the copy; see startAt
	cells   []Cell
	faults  []catalogue.Selection // of the cells
	others  []catalogue.Selection // the other fault of each cell; nil without
	earlier []Outcome             // outcomes of the first cells, from before an interruption
}

// add makes a cell of a fault at one of its severities.
func (j *job) add(f *catalogue.Entry, s severity, at moment) {
	c, named := newCell(f, s, at, j.route.faults)
	j.cells, j.faults = append(j.cells, c), append(j.faults, named)
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
			j.add(f, s, moment{name: AtStart})
		}
		jobs = append(jobs, j)
	}
	return jobs
}

// jobsOn are those of the states that a route serves.
func (p *plan) jobsOn(r *route) []job {
	var jobs []job
	for i := range r.assigned {
		v := &r.assigned[i]
		if len(p.options.States) > 0 && !slices.Contains(p.options.States, v.state) {
			continue
		}
		for _, at := range r.moments(v) {
			jobs = append(jobs, jobAt(r, v, at, p.faults))
		}
	}
	return jobs
}

// jobAt are the cells of a moment.
func jobAt(r *route, v *visit, at moment, faults []catalogue.Entry) job {
	j := job{route: r}
	j.startAt(v, at)
	for i := range faults {
		f := &faults[i]
		if f.WholeRun() || slices.Contains(r.names, f.Name) {
			continue
		}
		for _, s := range severities(f) {
			j.add(f, s, at)
		}
	}
	return j
}

// startAt lets the cells start from a copy of a visit. The copy is one tick after the moment if
// that is the tick that entered the state; a fault that ends by itself is over so much earlier.
func (j *job) startAt(v *visit, at moment) {
	j.copy, j.tick = v.copy, at.tick
	j.elapsed = time.Duration(at.tick-v.entered)*j.route.c.Rig.Clock.Tick - at.after
}

// run plays the cells that were not played before an interruption, or while exploring.
func (j *job) run(ctx context.Context, known map[string]Outcome) ([]Outcome, error) {
	var list []Outcome
	start := j.start()
	for i := len(j.earlier); i < len(j.cells); i++ {
		if o, played := known[j.cells[i].Key()]; played {
			list = append(list, o)
			continue
		}
		b, err := j.bench(start, i)
		if err != nil {
			return nil, fmt.Errorf("probe %s: %w", j.cells[i].Key(), err)
		}
		o, err := j.play(ctx, b, j.twin(start), j.cells[i])
		if err != nil {
			return nil, fmt.Errorf("probe %s: %w", j.cells[i].Key(), err)
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
	b := j.copy.Clone()
	for b.Ticks() < j.tick && b.Tick() {
	}
	return b
}

// bench is the run of one cell, with its fault due next.
func (j *job) bench(start *sim.Bench, i int) (*sim.Bench, error) {
	faults := j.faults[i : i+1]
	if j.others != nil {
		faults = []catalogue.Selection{j.others[i], j.faults[i]}
	}
	if start != nil {
		return withInjected(start, faults, j.elapsed)
	}
	c, err := catalogue.WithFaults(j.route.c, faults...)
	if err != nil {
		return nil, problem.Of(err)[0]
	}
	return sim.NewBench(c, nil), nil
}

// withInjected is a copy of a run with faults that begin at once, and were due earlier.
func withInjected(start *sim.Bench, faults []catalogue.Selection, late time.Duration) (*sim.Bench, error) {
	b := start.Clone()
	for i := range faults {
		f := faults[i].Entry.At(&b.Case().Rig, faults[i].Severity, sim.Moment{})
		f.When = nil // at once
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

// play runs a cell to its end.
func (j *job) play(ctx context.Context, b, twin *sim.Bench, c Cell) (Outcome, error) {
	clock := &j.route.c.Rig.Clock
	scan := int64(clock.FunctionalScan / clock.Tick)
	watch := &firstSign{route: j.route, scan: (b.Ticks() + scan - 1) / scan}
	b.Trace(watch)
	start := b.Clone() // with the fault due next, to find out which reaction was possible
	states := j.route.c.Program.States()
	seen := make([]bool, len(states))
	path := []string{}
	note := func() {
		if i := b.StateIndex(); !seen[i] {
			seen[i] = true
			path = append(path, states[i].Name)
		}
	}
	note()
	for n := 0; b.Tick(); n++ {
		note()
		if n%4096 == 0 && ctx.Err() != nil {
			return Outcome{}, ctx.Err()
		}
	}
	note()
	result, err := b.Result()
	if err != nil {
		return Outcome{}, err
	}
	o := outcomeOf(c, result, watch.found, path)
	o.NeverCame = slices.ContainsFunc(result.Expectations, func(e sim.Expectation) bool { return e.Name == "faults" && !e.Met })
	if o.failed() && !o.Late {
		o.excuse(start.BestReaction(twin))
	}
	return o, nil
}
