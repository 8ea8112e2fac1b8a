// Package probe tries every fault of the catalogue in every state of a sequence.
//
// A cell is one fault, at one severity, at one moment of one state. Its run starts from a
// copy of the run without the fault at that moment. A state that the run without faults does
// not enter is reached by a route: a run with one or two faults that leads to it.
//
// A probe has three steps: the explorer finds a route to every state (explorer.go), the runner
// plays the cells of all routes (runner.go), and the results are grouped to findings and a
// matrix (findings.go). [Thresholds] then finds the mildest severities with which something
// still goes wrong.
package probe

import (
	"context"
	"fmt"

	"holdbench/sim"
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
	Complete                bool   // not interrupted
}

// Run probes a case as it stands, with the faults that its scenario has. Every outcome
// is reported as soon as it and all before it are there, in an order that does not
// depend on the workers; report may be nil. If the context ends the results hold what was
// finished, and the error is the context's.
func Run(ctx context.Context, c *sim.Case, o Options, report func(Outcome) error) (*Results, error) {
	p, results, err := newPlan(c, o)
	if err != nil {
		return nil, err
	}
	r := &runner{plan: p, earlier: o.Earlier, results: results, report: report}
	err = r.run(ctx)
	results.Complete = err == nil
	if err == nil && len(r.earlier) > 0 {
		return nil, fmt.Errorf("the earlier probe has %d cells more than this one; it is of another scenario or of other options", len(r.earlier))
	}
	return results, err
}
