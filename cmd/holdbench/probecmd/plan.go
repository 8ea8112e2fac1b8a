package probecmd

import (
	"context"
	"errors"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/catalogue"
	"holdbench/sim/probe"
)

// plan is the case of a probe and its options.
type plan struct {
	ready   *sim.Case
	options probe.Options
	head    probe.Head
	nominal *probe.Nominal
	again   *command.Rerun      // repeats the scenario
	accept  *scenarios.Accepted // nil without --accept
}

// newPlan reads the scenario and the options.
func newPlan(a *command.App, c *cobra.Command, args []string, overrides scenarios.Overrides, f *probeFlags) (*plan, error) {
	reference := command.Demo
	if len(args) > 0 {
		reference = args[0]
	}
	ready, err := a.LoadCase(reference, overrides)
	if err != nil {
		return nil, err
	}
	states := ready.Sequence.StateNames()
	for _, name := range f.states {
		if !slices.Contains(states, name) {
			return nil, command.WrongUse(c, "--state is %q, which %s does not have; %s", name, ready.Sequence.Title(), sequence.Suggest(name, states))
		}
	}
	p := &plan{ready: ready, again: command.NewRerun(reference, &f.overrides)}
	p.options = probe.Options{
		Faults: chosen(catalogue.Names(), f.faults), States: chosen(states, f.states), Through: chosen(catalogue.Names(), f.through),
		Pairs: f.pairs, Workers: f.workers,
	}
	if p.options.Part, err = f.keep.Part(c); err != nil {
		return nil, err
	}
	if f.accept != "" {
		if p.accept, err = scenarios.LoadAccepted(f.accept, states); err != nil {
			return nil, err
		}
	}
	if p.head, err = probe.NewHead(ready, p.options); err != nil {
		return nil, err
	}
	p.nominal, err = probe.NewNominal(ready)
	if errors.Is(err, context.Canceled) {
		return nil, command.Interrupted("interrupted in the run without a fault; no cell was tried")
	}
	p.head.Nominal, p.head.Version = p.nominal, command.Version()
	return p, err
}

// chosen puts names into the order of all, each once, so that the same choice is the
// same probe however it was typed.
func chosen(all, names []string) []string {
	var list []string
	for _, name := range all {
		if slices.Contains(names, name) {
			list = append(list, name)
		}
	}
	return list
}

// againParts are the words of the command of the run without a fault, ready for a shell.
func (p *plan) againParts() []string {
	var parts []string
	for _, words := range p.again.Words {
		parts = append(parts, command.ShellLine(words))
	}
	return parts
}

// commandParts are the words of a cell's command, ready for a shell.
func (p *plan) commandParts(c *probe.Cell) []string {
	parts := p.againParts()
	for _, fault := range c.Route {
		parts = append(parts, command.ShellLine([]string{"--fault", fault}))
	}
	return append(parts, command.ShellLine([]string{"--fault", c.Spec}))
}

// commandLine is the command of a cell on one line.
func (p *plan) commandLine(c *probe.Cell) string { return strings.Join(p.commandParts(c), " ") }
