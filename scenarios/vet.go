package scenarios

import (
	"errors"
	"fmt"
	"os"
	"slices"

	"github.com/goccy/go-yaml/ast"

	"holdbench/plant"
	"holdbench/plant/problem"
	"holdbench/sequence"
	"holdbench/sequence/binding"
	"holdbench/sim"
)

// Vet reads a document of any kind without running it and returns its errors and
// warnings. An error means that there is no document. What a scenario names that does not happen in its run is
// told by [Foresee].
func Vet(reference string, reach Reach) (Kind, problem.List, error) {
	kind, err := kindOfReference(reference)
	if err != nil {
		return "", nil, err
	}
	var warnings problem.List
	switch kind := kindToVet(kind, reference); kind {
	case lone:
		warnings, err = vetProgram(reference)
	case RigKind:
		var rig *plant.Rig
		if rig, warnings, err = LoadRig(reference); err == nil {
			warnings = append(warnings, doubtfulValues(reference, rig)...)
		}
	case SequenceKind:
		_, warnings, err = LoadLogic(reference, reach)
		if err != nil {
			warnings = append(warnings, programProblems(reference, reach, append(problem.Of(err), warnings...))...)
		}
		warnings = append(warnings, unbound(reference, reach)...)
		warnings = append(warnings, missingReactions(kind, reference, "$", reach)...)
	default:
		var c *sim.Case
		c, warnings, err = LoadCase(reference, Overrides{Reach: reach})
		warnings = append(warnings, missingReactions(kind, reference, "$.sequence", reach)...)
		warnings = append(warnings, guardReactions(reference, c)...)
		if c != nil {
			warnings = append(warnings, placedInScenario(reference, append(c.Contradictions(), c.IdleSteps()...))...)
		}
	}
	var wrong problem.List
	if errors.As(err, &wrong) {
		return kind, append(wrong, warnings...), nil
	}
	return kind, warnings, err
}

// missingReactions are those of a sequence by itself or written in place, at a path of its
// document; none where there is no sequence that can be read.
func missingReactions(kind Kind, reference, path string, reach Reach) problem.List {
	src, err := sourceOf(kind, reference, reach)
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
	var found problem.List
	for _, missing := range p.Document().MissingGuardReactions(nil) {
		found.Warn("sequence", "rig %s has a guard, and in sequence %s %s", c.Rig.Rig, c.Sequence.Name, missing.Message)
	}
	return placedInScenario(reference, found)
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
	if !isNamed(reference) && !looksLikeFile(reference) {
		return "", fmt.Errorf("there is no document %q, neither built in nor as a file; %s", reference, sequence.Suggest(reference, names))
	}
	text, err := readBounded(reference)
	switch {
	case err != nil:
		return "", unreadable("document", reference, err)
	case isProgram(reference):
		return SequenceKind, nil
	}
	kind, ok := kindOf(text)
	if !ok {
		return "", fmt.Errorf("%s is not a holdbench document; its first key must be scenario, rig or sequence", reference)
	}
	return kind, nil
}

// sourceOf reads the document of a reference.
func sourceOf(kind Kind, reference string, reach Reach) (*source, error) {
	name, text, err := find(kind, reference, "")
	if kind == SequenceKind {
		name, text, err = findSequence(reference, "")
	}
	if err != nil {
		return nil, err
	}
	src, err := read(name, text)
	if err == nil {
		src.reach = reach
	}
	return src, err
}

// unbound lists what a binding leaves out; nothing for a sequence that is a document.
func unbound(reference string, reach Reach) problem.List {
	src, err := sourceOf(SequenceKind, reference, reach)
	if err != nil {
		return nil
	}
	logic, _, err := src.sequence("$", src.root())
	if bound, ok := logic.(*binding.Logic); ok && err == nil {
		return src.locatedBinding("$", bound.Review())
	}
	return nil
}

// programProblems are those of a program whose binding is refused, without the ones that are known.
func programProblems(reference string, reach Reach, known problem.List) problem.List {
	var found problem.List
	switch src, err := sourceOf(SequenceKind, reference, reach); {
	case err == nil && src.isBinding(src.root()):
		found = src.ofProgram(src.root())
	case err != nil && isProgram(reference): // its binding cannot be read
		if text, err := readBounded(reference); err == nil {
			found = binding.VetProgram(binding.Document{}, reference, text)
		}
	}
	return slices.DeleteFunc(found, func(p problem.Problem) bool { return slices.Contains(known, p) })
}

// lone is a program without a binding beside it, which can be checked and not run.
const lone Kind = "program"

func kindToVet(kind Kind, reference string) Kind {
	if _, err := os.Stat(BindingBeside(reference)); kind == SequenceKind && isProgram(reference) && err != nil {
		return lone
	}
	return kind
}

// vetProgram checks a program by itself.
func vetProgram(file string) (problem.List, error) {
	text, err := readBounded(file)
	if err != nil {
		return nil, unreadable("program", file, err)
	}
	warnings, err := binding.Vet(file, text)
	return append(warnings, problem.Problem{File: file, Warning: true, Message: "the program has no binding " + BindingBeside(file) + " beside it and cannot be run; holdbench new binding " + file + " writes a first one"}), err
}
