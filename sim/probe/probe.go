// Package probe tries every fault of the catalogue in every state of a sequence.
//
// A cell is one fault, at one severity, at one moment of one state. Its run starts from
// a copy of the run without the fault, made at that moment. States that the run without
// faults never enters are reached by a route: a run with one fault, or two, that leads
// there.
package probe

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"slices"

	"holdbench/sim"
	"holdbench/sim/catalogue"
	"holdbench/sim/fanout"
)

// Options choose what is tried and how.
type Options struct {
	Faults []string // names of the catalogue; none: all that fit
	States []string // none: all that can be reached
	Pairs  bool     // two faults at once, every two of them somewhere
	// Through are the faults that may lead to states which the run without faults does not
	// enter; none: all that fit. They are looked for whatever is chosen to be tried.
	Through []string
	Workers int // 0: one for each core

	// Earlier holds the outcomes of an interrupted probe of the same case and options,
	// in their order: they are taken as they are.
	Earlier []Outcome
	// Progress is told how many cells are done, and how many there are. It may be nil.
	Progress func(done, known int)
	// Looking is told the same of the runs that look for ways to further states, before any
	// cell is tried. It may be nil.
	Looking func(done, known int)
}

// Map is what came of a probe.
type Map struct {
	Scenario, Rig, Sequence string
	States                  []string // of the sequence, in its order
	Faults                  []string // that were tried, in the order of the catalogue
	Misfits                 []string // faults that make no sense on this rig and sequence
	Unreached               []string // states that no route leads to
	Outcomes                []Outcome
	Plan                    Extent // of two faults at once; nothing otherwise
	Whole                   bool   // nothing was interrupted
}

// runner is a probe on its way.
type runner struct {
	base    *sim.Case
	options Options
	faults  []catalogue.Entry  // that are tried
	scouts  []catalogue.Entry  // that may lead on
	scouted map[string]Outcome // by key of the cell
	seen    []Outcome          // the same, in order
	earlier []Outcome
	found   *Map
	tell    func(Outcome) error
	known   int
	err     error
}

// deepest is how many faults may lead to a state: with three, everything is broken.
const deepest = 2

// Run probes a case as it stands, with the faults that its scenario has. Every outcome
// is handed over as soon as it and all before it are there, in an order that does not
// depend on the workers; tell may be nil. If the context ends the map holds what was
// finished, and the error is the context's.
func Run(ctx context.Context, c *sim.Case, o Options, tell func(Outcome) error) (*Map, error) {
	r, err := newRunner(c, o, tell)
	if err != nil {
		return nil, err
	}
	err = r.all(ctx)
	r.found.Whole = err == nil
	if err == nil && len(r.earlier) > 0 {
		return nil, fmt.Errorf("the earlier probe has %d cells more than this one; it is of another scenario, or of other options", len(r.earlier))
	}
	return r.found, err
}

func newRunner(c *sim.Case, o Options, tell func(Outcome) error) (*runner, error) {
	if o.Workers <= 0 {
		o.Workers = runtime.NumCPU()
	}
	r := &runner{base: c, options: o, earlier: o.Earlier, tell: tell, scouted: map[string]Outcome{}}
	r.found = &Map{Scenario: c.Scenario.Scenario, Rig: c.Rig.Rig, Sequence: c.Program.Name()}
	for _, s := range c.Program.States() {
		r.found.States = append(r.found.States, s.Name)
	}
	for _, name := range o.States {
		if !slices.Contains(r.found.States, name) {
			return nil, fmt.Errorf("there is no state %q in sequence %s", name, c.Program.Name())
		}
	}
	return r, r.chooseFaults()
}

// chooseFaults takes what is wanted and fits.
func (r *runner) chooseFaults() error {
	wanted := func(names []string, f *catalogue.Entry) bool {
		return len(names) == 0 || slices.Contains(names, f.Name)
	}
	for _, f := range catalogue.Entries() {
		tried, leads := wanted(r.options.Faults, &f), wanted(r.options.Through, &f)
		fits := (tried || leads) && f.FitsCase(r.base)
		switch {
		case fits && tried:
			r.faults, r.found.Faults = append(r.faults, f), append(r.found.Faults, f.Name)
		case tried:
			r.found.Misfits = append(r.found.Misfits, f.Name)
		}
		if fits && leads {
			r.scouts = append(r.scouts, f)
		}
	}
	if len(r.faults) == 0 {
		return errors.New("no fault of the catalogue fits; name others")
	}
	return nil
}

// all goes from the run without faults outwards, until no new state is found.
func (r *runner) all(ctx context.Context) error {
	nominal, err := newRoute(r.base, nil)
	if err != nil {
		return err
	}
	if r.options.Pairs {
		return r.play(ctx, r.pairJobs(nominal))
	}
	routes, reached, err := r.explore(ctx, nominal)
	if err != nil {
		return err
	}
	var jobs []job
	if len(r.options.States) == 0 {
		jobs = r.wholeRuns(nominal, r.faults)
	}
	for _, way := range routes {
		jobs = append(jobs, r.jobsOf(way)...)
	}
	if err := r.play(ctx, jobs); err != nil {
		return err
	}
	for _, s := range r.found.States {
		if !reached[s] {
			r.found.Unreached = append(r.found.Unreached, s)
		}
	}
	return nil
}

// explore sends faults ahead, at the entry of each state, until no new state is found.
func (r *runner) explore(ctx context.Context, nominal *route) ([]*route, map[string]bool, error) {
	reached := map[string]bool{}
	nominal.serves(reached)
	all, newest := []*route{nominal}, []*route{nominal}
	jobs := r.wholeRuns(nominal, r.scouts)
	for range deepest {
		if r.enough(reached) {
			break
		}
		for _, way := range newest {
			jobs = append(jobs, r.scoutsOf(way)...)
		}
		if err := r.scout(ctx, jobs); err != nil {
			return nil, nil, err
		}
		for _, o := range r.seen {
			r.scouted[o.Key()] = o // not while the workers read it
		}
		var err error
		if newest, err = r.outward(ctx, reached); err != nil {
			return nil, nil, err
		}
		if len(newest) == 0 {
			break
		}
		for _, way := range newest {
			way.serves(reached)
		}
		all, jobs = append(all, newest...), nil
	}
	return all, reached, nil
}

// enough is whether all states that were chosen are reached.
func (r *runner) enough(reached map[string]bool) bool {
	missing := func(s string) bool { return !reached[s] }
	return len(r.options.States) > 0 && !slices.ContainsFunc(r.options.States, missing)
}

// scout plays jobs that only look for ways.
func (r *runner) scout(ctx context.Context, jobs []job) error {
	known := len(r.seen)
	for i := range jobs {
		known += len(jobs[i].cells)
	}
	return r.spread(ctx, jobs, func(_ int, list []Outcome, _ context.CancelCauseFunc) {
		r.seen = append(r.seen, list...)
		if r.options.Looking != nil {
			r.options.Looking(len(r.seen), known)
		}
	})
}

// play runs the jobs on all workers and takes their outcomes in order.
func (r *runner) play(ctx context.Context, jobs []job) error {
	jobs = slices.DeleteFunc(jobs, func(j job) bool { return len(j.cells) == 0 })
	for i := range jobs {
		r.known += len(jobs[i].cells)
		r.takeEarlier(&jobs[i])
	}
	if r.err != nil {
		return r.err
	}
	return r.spread(ctx, jobs, func(i int, list []Outcome, cancel context.CancelCauseFunc) {
		r.take(slices.Concat(jobs[i].earlier, list), len(jobs[i].earlier), cancel)
	})
}

// spread runs the jobs on all workers and hands over what came of each in order.
func (r *runner) spread(ctx context.Context, jobs []job, done func(i int, list []Outcome, cancel context.CancelCauseFunc)) error {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	err := fanout.InOrder(ctx, len(jobs), r.options.Workers, func(i int) ([]Outcome, bool) {
		list, err := jobs[i].run(ctx, r.scouted)
		if err != nil && ctx.Err() == nil {
			cancel(err)
		}
		return list, err == nil
	}, func(i int, list []Outcome) { done(i, list, cancel) })
	switch {
	case r.err != nil:
		return r.err
	case err != nil:
		return context.Cause(ctx)
	}
	return nil
}

// takeEarlier gives a job the outcomes that it had before an interruption.
func (r *runner) takeEarlier(j *job) {
	n := min(len(r.earlier), len(j.cells))
	for i, had := range r.earlier[:n] {
		if had.Key() != j.cells[i].Key() {
			r.err = fmt.Errorf("the earlier probe has %s where %s is due; it is of another scenario, or of other options", had.Key(), j.cells[i].Key())
			return
		}
	}
	j.earlier, r.earlier = r.earlier[:n], r.earlier[n:]
}

// take keeps outcomes and hands on those that are new.
func (r *runner) take(list []Outcome, old int, cancel context.CancelCauseFunc) {
	if r.err != nil {
		return
	}
	for i, o := range list {
		r.found.Outcomes = append(r.found.Outcomes, o)
		if i < old || r.tell == nil {
			continue
		}
		if r.err = r.tell(o); r.err != nil {
			cancel(r.err)
			return
		}
	}
	if r.options.Progress != nil {
		r.options.Progress(len(r.found.Outcomes), r.known)
	}
}
