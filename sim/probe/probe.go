// Package probe tries every fault of the catalogue in every state of a sequence.
//
// A cell is one fault, at one severity, at one moment of one state. Its run starts from a
// copy of the run without the fault at that moment. A state that the run without faults does
// not enter is reached by a route: a run with one or two faults that leads to it.
//
// A probe has three steps: the explorer finds a route to every state (explorer.go), the jobs of
// all routes play their cells (job.go), and the outcomes are grouped to findings and a matrix
// (findings.go). [Thresholds] then finds the mildest severities with which something still goes
// wrong.
package probe

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"slices"

	"holdbench/sim"
	"holdbench/sim/catalogue"
	"holdbench/sim/journal"
)

// Options choose what is tried and how.
type Options struct {
	Faults []string // names of the catalogue; none: all that fit
	States []string // none: all that can be reached
	Pairs  bool     // two faults at once, every two of them in some run
	// Through are the faults that may lead to states that the run without faults does not
	// enter; none: all that fit. They are independent of the faults that are tried.
	Through []string
	Workers int // 0: one for each core
	// Part is the share of the cells that is tried; the other parts try the others. The zero value is all.
	Part journal.Part

	// Earlier holds the outcomes of an interrupted probe of the same case and options, in their
	// order; these cells are not played again.
	Earlier []Outcome
	// Progress gets the number of cells that are done, and of all. It may be nil.
	Progress func(done, all int)
	// Exploring gets the same of the runs that look for routes to further states, before any
	// cell is tried. It may be nil.
	Exploring func(done, all int)
}

// Results are the outcomes of a probe.
type Results struct {
	Scenario, Rig, Sequence string
	States                  []string // of the sequence, in its order
	Faults                  []string // that were tried, in the order of the catalogue
	NotApplicable           []string // faults that do not fit this rig and sequence
	Unreached               []string // states that no route leads to
	Outcomes                []Outcome
	Plan                    Extent // of two faults at once; zero otherwise
	// Again is how many times the simulated time was run that would be enough if the controller
	// could be copied; 0 where it can be.
	Again    float64
	Complete bool // not interrupted
}

// scope is what a probe tries, on which case.
type scope struct {
	base    *sim.Case
	options Options
	states  []string          // of the sequence
	faults  []catalogue.Entry // that are tried
	leading []catalogue.Entry // that may lead to further states
	meter   *meter
}

// collector has the cells of a probe played and collects their outcomes.
type collector struct {
	scope   *scope
	earlier []Outcome          // of an interrupted probe, not yet taken
	known   map[string]Outcome // played while exploring, by key
	results *Results
	report  func(Outcome) error
	cells   int // planned
	err     error
}

// Run probes a case as it stands, with the faults that its scenario has. Every outcome
// is reported as soon as it and all before it are there, in an order that does not
// depend on the workers; report may be nil. If the context ends the results hold what was
// finished, and the error is the context's.
func Run(ctx context.Context, c *sim.Case, o Options, report func(Outcome) error) (*Results, error) {
	s, results, err := newScope(c, o)
	if err != nil {
		return nil, err
	}
	r := &collector{scope: s, earlier: o.Earlier, results: results, report: report}
	nominal, err := newRoute(s.base, nil, s.meter)
	switch {
	case err != nil:
	case o.Pairs:
		err = r.tryPairs(ctx, nominal)
	default:
		err = r.tryFaults(ctx, nominal)
	}
	results.Complete, results.Again = err == nil, s.meter.times()
	if err == nil && len(r.earlier) > 0 {
		return nil, fmt.Errorf("the earlier probe has %d cells more than this one; it is of another scenario or of other options", len(r.earlier))
	}
	return results, err
}

// newScope chooses the faults, and begins the results with what was chosen.
func newScope(c *sim.Case, o Options) (*scope, *Results, error) {
	if o.Workers <= 0 {
		o.Workers = runtime.NumCPU()
	}
	s := &scope{base: c, options: o, meter: &meter{}}
	s.states = c.Sequence.StateNames()
	for _, name := range o.States {
		if !slices.Contains(s.states, name) {
			return nil, nil, fmt.Errorf("there is no state %q in %s", name, c.Sequence.Title())
		}
	}
	results := &Results{Scenario: c.Scenario.Scenario, Rig: c.Rig.Rig, Sequence: c.Sequence.Name, States: s.states}
	results.NotApplicable = s.chooseFaults()
	if len(s.faults) == 0 {
		return nil, nil, errors.New("no fault of the catalogue fits; must be other faults")
	}
	if err := s.tooLarge(); err != nil {
		return nil, nil, err
	}
	for i := range s.faults {
		results.Faults = append(results.Faults, s.faults[i].Name)
	}
	return s, results, nil
}

// chooseFaults takes the faults that are asked for and fit the case, and returns the names
// of those that do not fit.
func (s *scope) chooseFaults() (notApplicable []string) {
	asked := func(names []string, f *catalogue.Entry) bool {
		return len(names) == 0 || slices.Contains(names, f.Name)
	}
	for _, f := range catalogue.Entries() {
		tried, leads := asked(s.options.Faults, &f), asked(s.options.Through, &f)
		fits := (tried || leads) && f.FitsCase(s.base)
		switch {
		case fits && tried:
			s.faults = append(s.faults, f)
		case tried:
			notApplicable = append(notApplicable, f.Name)
		}
		if fits && leads {
			s.leading = append(s.leading, f)
		}
	}
	return notApplicable
}

// tryFaults explores the states first, then plays the cells of each fault.
func (r *collector) tryFaults(ctx context.Context, nominal *route) error {
	e := newExplorer(r.scope)
	routes, err := e.explore(ctx, nominal)
	if err != nil {
		return err
	}
	r.known = e.known
	var jobs []job
	if len(r.scope.options.States) == 0 {
		jobs = wholeRuns(nominal, r.scope.faults)
	}
	for _, route := range routes {
		jobs = append(jobs, r.scope.cellJobs(route)...)
	}
	if err := r.collect(ctx, jobs); err != nil {
		return err
	}
	for _, s := range r.scope.states {
		if !e.reached[s] && !nominal.timed {
			r.results.Unreached = append(r.results.Unreached, s)
		}
	}
	return nil
}

// tryPairs plays two faults at once, on the run without faults.
func (r *collector) tryPairs(ctx context.Context, nominal *route) error {
	p := newPairPlan(r.scope, nominal)
	f := p.choices()
	rows, err := cover(ctx, f)
	if err != nil {
		return err
	}
	r.results.Plan, r.results.Unreached = f.extent(rows), p.unreached()
	return r.collect(ctx, p.jobs(rows))
}

// collect plays the jobs and takes their outcomes in order.
func (r *collector) collect(ctx context.Context, jobs []job) error {
	r.scope.options.takePart(jobs)
	jobs = slices.DeleteFunc(jobs, func(j job) bool { return len(j.cells) == 0 })
	for i := range jobs {
		r.cells += len(jobs[i].cells)
		if err := r.takeEarlier(&jobs[i]); err != nil {
			return err
		}
	}
	err := playJobs(ctx, r.scope.options.Workers, jobs, r.known, func(i int, list []Outcome, cancel context.CancelCauseFunc) {
		r.take(slices.Concat(jobs[i].earlier, list), len(jobs[i].earlier), cancel)
	})
	if r.err != nil {
		return r.err
	}
	return err
}

// takeEarlier gives a job its outcomes from before an interruption.
func (r *collector) takeEarlier(j *job) error {
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
func (r *collector) take(list []Outcome, old int, cancel context.CancelCauseFunc) {
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
	if r.scope.options.Progress != nil {
		r.scope.options.Progress(len(r.results.Outcomes), r.cells)
	}
}
