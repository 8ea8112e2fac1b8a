package scenarios

import (
	"errors"
	"fmt"
	"os"

	"github.com/goccy/go-yaml/ast"

	"holdbench/plant"
	"holdbench/plant/problem"
	"holdbench/sequence"
	"holdbench/sim"
)

// Vet reads a document of any kind without running it and returns its errors and
// warnings. An error means that there is no document.
func Vet(reference string) (Kind, problem.List, error) {
	kind, err := kindOfReference(reference)
	if err != nil {
		return "", nil, err
	}
	var warnings problem.List
	switch kind {
	case RigKind:
		_, warnings, err = LoadRig(reference)
	case SequenceKind:
		_, warnings, err = LoadLogic(reference)
		warnings = append(warnings, missingReactions(kind, reference, "$")...)
	default:
		var c *sim.Case
		c, warnings, err = LoadCase(reference, Overrides{})
		warnings = append(warnings, missingReactions(kind, reference, "$.sequence")...)
		warnings = append(warnings, guardReactions(reference, c)...)
	}
	var wrong problem.List
	if errors.As(err, &wrong) {
		return kind, append(wrong, warnings...), nil
	}
	return kind, warnings, err
}

// missingReactions are those of a sequence by itself or written in place, at a path of its
// document; none where there is no sequence that can be read.
func missingReactions(kind Kind, reference, path string) problem.List {
	name, text, err := find(kind, reference, "")
	if err != nil {
		return nil
	}
	src, err := read(name, text)
	if err != nil {
		return nil
	}
	node := src.part(path)
	if _, written := node.(ast.MapNode); !written {
		return nil
	}
	logic, _, err := src.sequence(path, node)
	if err != nil {
		return nil
	}
	d, err := documentOf(logic)
	if err != nil {
		return nil
	}
	return src.located(path, d.MissingReactions(nil))
}

// guardReactions are the reactions that the sequence of a scenario lacks on a rig with a guard.
func guardReactions(reference string, c *sim.Case) problem.List {
	if c == nil || c.Rig.Safety.Guard == plant.GuardNone {
		return nil
	}
	p, ok := c.Program()
	if !ok {
		return nil // the reactions of a program are not to be read
	}
	name, text, err := find(ScenarioKind, reference, "")
	if err != nil {
		return nil
	}
	src, err := read(name, text)
	if err != nil {
		return nil
	}
	var found problem.List
	for _, missing := range p.Document().MissingGuardReactions(nil) {
		found.Warn("sequence", "rig %s has a guard, and in sequence %s %s", c.Rig.Rig, c.Sequence.Name, missing.Message)
	}
	return src.located("$", found)
}

// kindOfReference is the kind of a built-in document or a file.
func kindOfReference(reference string) (Kind, error) {
	var names []string
	for _, kind := range Kinds() {
		for _, name := range Names(kind) {
			if name == reference {
				return kind, nil
			}
			names = append(names, name)
		}
	}
	if _, err := os.Stat(reference); err != nil && !looksLikeFile(reference) {
		return "", fmt.Errorf("there is no document %q, neither built in nor as a file; %s", reference, sequence.Suggest(reference, names))
	}
	text, err := readBounded(reference)
	if err != nil {
		return "", fmt.Errorf("cannot read document: %w", err)
	}
	kind, ok := kindOf(text)
	if !ok {
		return "", fmt.Errorf("%s is not a holdbench document; its first key must be scenario, rig or sequence", reference)
	}
	return kind, nil
}
