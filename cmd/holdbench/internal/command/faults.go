package command

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"holdbench/plant/problem"
	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// FaultUsage explains how a named fault is written.
const FaultUsage = "add a `FAULT`, as lining-worn; repeatable"

// ReadFaults reads the faults of a command line.
func ReadFaults(c *cobra.Command, texts []string) ([]catalogue.Selection, error) {
	var list []catalogue.Selection
	for _, text := range texts {
		n, err := catalogue.Parse(text)
		if err != nil {
			return nil, WrongUse(c, "--fault %v", err)
		}
		list = append(list, n)
	}
	return list, nil
}

// WithFaults adds faults to a case. The error names the first one with which it is no case.
func WithFaults(ready *sim.Case, faults []catalogue.Selection) (*sim.Case, error) {
	made := ready
	for i := range faults {
		n := &faults[i]
		if needs := n.Entry.Needs; needs != nil && !needs(&ready.Rig) {
			return nil, fmt.Errorf("--fault %v: %s does not apply to rig %s; see holdbench show fault %[2]s", n, n.Entry.Name, ready.Rig.Rig)
		}
		var err error
		if made, err = catalogue.WithFaults(ready, faults[:i+1]...); err != nil {
			return nil, fmt.Errorf("--fault %v: %s", n, problem.Of(err)[0].Message)
		}
	}
	return made, nil
}

// CompleteFaults completes names of faults, and states behind an @.
func CompleteFaults(c *cobra.Command, args []string, word string) ([]cobra.Completion, cobra.ShellCompDirective) {
	const more = cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
	before, _, at := strings.Cut(word, "@")
	if !at {
		return catalogue.Names(), more
	}
	var list []cobra.Completion
	if d := SequenceInQuestion(c, args); d != nil {
		for _, s := range d.States {
			list = append(list, before+"@"+s.Name)
		}
	}
	return list, more
}
