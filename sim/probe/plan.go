package probe

import (
	"errors"
	"fmt"
	"runtime"
	"slices"

	"holdbench/plant/problem"
	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// plan is what a probe tries, on which case.
type plan struct {
	base    *sim.Case
	options Options
	states  []string          // of the sequence
	faults  []catalogue.Entry // that are tried
	leading []catalogue.Entry // that may lead to further states
}

// newPlan chooses the faults, and begins the results with what was chosen.
func newPlan(c *sim.Case, o Options) (*plan, *Results, error) {
	if o.Workers <= 0 {
		o.Workers = runtime.NumCPU()
	}
	p := &plan{base: c, options: o}
	for _, s := range c.Program.States() {
		p.states = append(p.states, s.Name)
	}
	for _, name := range o.States {
		if !slices.Contains(p.states, name) {
			return nil, nil, fmt.Errorf("there is no state %q in sequence %s", name, c.Program.Name())
		}
	}
	results := &Results{Scenario: c.Scenario.Scenario, Rig: c.Rig.Rig, Sequence: c.Program.Name(), States: p.states}
	results.NotApplicable = p.chooseFaults()
	if len(p.faults) == 0 {
		return nil, nil, errors.New("no fault of the catalogue fits; must be other faults")
	}
	for i := range p.faults {
		results.Faults = append(results.Faults, p.faults[i].Name)
	}
	return p, results, nil
}

// chooseFaults takes the faults that are asked for and fit the case, and returns the names
// of those that do not fit.
func (p *plan) chooseFaults() (notApplicable []string) {
	asked := func(names []string, f *catalogue.Entry) bool {
		return len(names) == 0 || slices.Contains(names, f.Name)
	}
	for _, f := range catalogue.Entries() {
		tried, leads := asked(p.options.Faults, &f), asked(p.options.Through, &f)
		fits := (tried || leads) && f.FitsCase(p.base)
		switch {
		case fits && tried:
			p.faults = append(p.faults, f)
		case tried:
			notApplicable = append(notApplicable, f.Name)
		}
		if fits && leads {
			p.leading = append(p.leading, f)
		}
	}
	return notApplicable
}

// allReached is whether all states that are asked for are reached; never if none is named.
func (p *plan) allReached(reached map[string]bool) bool {
	missing := func(s string) bool { return !reached[s] }
	return len(p.options.States) > 0 && !slices.ContainsFunc(p.options.States, missing)
}

// routeWith runs the case with faults in their written form, as a route.
func (p *plan) routeWith(texts []string) (*route, error) {
	var faults []catalogue.Selection
	for _, text := range texts {
		f, err := catalogue.Parse(text)
		if err != nil {
			return nil, err
		}
		faults = append(faults, f)
	}
	c, err := catalogue.WithFaults(p.base, faults...)
	if err != nil {
		return nil, problem.Of(err)[0]
	}
	return newRoute(c, faults)
}
