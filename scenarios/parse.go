package scenarios

import (
	"holdbench/plant"
	"holdbench/plant/problem"
	"holdbench/sequence"
	"holdbench/sim"
)

// ParseRig reads a rig from its text. The name is the one in messages,
// such as that of the file.
func ParseRig(name string, text []byte) (*plant.Rig, problem.List, error) {
	return shared.rig(name, text)
}

// ParseSequence reads and vets a sequence document from its text.
func ParseSequence(name string, text []byte) (*sequence.Document, problem.List, error) {
	logic, _, warnings, err := shared.sequence(name, text, Below)
	if err != nil {
		return nil, warnings, err
	}
	d, err := documentOf(logic)
	return d, warnings, err
}

// ParseScenario reads a scenario from its text, without the rig and the sequence that it
// names: [sim.NewCase] makes a case of the three, and warns.
func ParseScenario(name string, text []byte) (*sim.Scenario, error) {
	s, _, err := shared.scenario(name, text)
	if err != nil {
		return nil, err
	}
	return &s, nil
}

// ParseCase reads a scenario from its text, with the rig and the sequence that it names,
// and makes a case of it. The paths of files are relative to the folder of
// the name.
func ParseCase(name string, text []byte, o Overrides) (*sim.Case, problem.List, error) {
	return shared.parseCase(name, text, o)
}

// ParseLogic reads a sequence of any kind from its text and checks it. The files that it names are
// relative to the folder of the name.
func ParseLogic(name string, text []byte) (sequence.Logic, problem.List, error) {
	logic, _, warnings, err := shared.sequence(name, text, Below)
	return logic, warnings, err
}
