package command

import (
	"context"
	"errors"
	"strings"

	"holdbench/plant/problem"
	"holdbench/scenarios"
	"holdbench/sim"
)

// LoadRigCase makes a case of the rig with what is set on the command line, and the sequence that tests it.
func (a *App) LoadRigCase(o scenarios.Overrides) (*sim.Case, error) {
	reference := o.Rig
	rig, warnings, err := scenarios.LoadRig(reference)
	if err != nil {
		return nil, err
	}
	o.Rig, o.Sequence = "", scenarios.SequenceFor(rig, "")
	logic, _, err := scenarios.LoadLogic(o.Sequence, a.Reach)
	if err != nil {
		return nil, err
	}
	a.TellWarnings(warnings)
	s := sim.Scenario{
		Scenario: "test-of-" + rig.Rig, Title: "Test of " + rig.Title,
		Rig: sim.Reference{Name: reference}, Sequence: sim.Reference{Name: o.Sequence}, Set: o.Set,
	}
	ready, warnings, err := scenarios.CaseOfRig(s, reference, rig, logic)
	if err := a.TellProblems(reference, o, warnings, err); err != nil {
		return nil, err
	}
	ready.Sources = scenarios.Sources(reference, o.Sequence, a.Reach)
	return ready, nil
}

// Unusable is what a recording lacks, each with the file. An interruption stays one.
func Unusable(path string, err error) error {
	if errors.Is(err, context.Canceled) {
		return err
	}
	var list problem.List
	for line := range strings.Lines(err.Error()) {
		list = append(list, problem.Problem{File: path, Message: strings.TrimSpace(line)})
	}
	return list
}
