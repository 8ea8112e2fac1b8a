package scenarios

import (
	"cmp"
	"fmt"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"

	"holdbench/plant/problem"
	"holdbench/sequence"
	"holdbench/sequence/binding"
)

// A sequence can be a program in Structured Text. Then its document is a binding, which names the
// program's file; a program's file by itself stands for the binding beside it.

// bindingKey is the first key of a binding.
const bindingKey = "binding"

// programExt is how the name of a program's file ends.
const programExt = ".st"

// isProgram is whether a reference is the file of a program.
func isProgram(reference string) bool { return strings.EqualFold(filepath.Ext(reference), programExt) }

// BindingBeside is the file of the binding that a program's file stands for.
func BindingBeside(program string) string {
	return strings.TrimSuffix(program, filepath.Ext(program)) + ".yaml"
}

// findSequence searches for a sequence; the file of a program stands for the binding beside it.
func findSequence(reference, folder string) (name string, text []byte, err error) {
	if !isProgram(reference) {
		return find(SequenceKind, reference, folder)
	}
	beside := BindingBeside(reference)
	name, text, err = find(SequenceKind, beside, folder)
	if err != nil {
		if file := within(folder, reference); !isThere(file) {
			return "", nil, noProgram(reference, file)
		}
		return "", nil, fmt.Errorf("%s is a program and has no binding %s beside it; holdbench new binding %s writes a first one", reference, beside, reference)
	}
	if src, err := read(name, text); err == nil && !src.isBinding(src.root()) {
		return "", nil, fmt.Errorf("%s is no binding of the program %s; its first key must be binding", beside, reference)
	}
	return name, text, nil
}

func isThere(file string) bool {
	_, err := os.Stat(file)
	return err == nil
}

// noProgram is the error of a program that is not there.
func noProgram(reference, file string) error {
	_, err := readBounded(file)
	if _, ok := BuiltinProgram(reference); ok {
		return fmt.Errorf("cannot read %s: %w; the built-in program is the sequence %s", SequenceKind, err, strings.TrimSuffix(reference, programExt))
	}
	return unreadable(string(SequenceKind), file, err)
}

// BuiltinProgram is the text of the built-in program in a file of this name, such as reference-case.st.
func BuiltinProgram(file string) (text []byte, ok bool) {
	for _, e := range builtins()[SequenceKind] {
		if isProgram(file) && BindingBeside(file) == e.Name+".yaml" {
			text, err := builtin.ReadFile(path.Join(path.Dir(e.file), file))
			return text, err == nil
		}
	}
	return nil, false
}

// isBinding is whether a node is that of a binding.
func (s *source) isBinding(node ast.Node) bool {
	mapping, ok := node.(ast.MapNode)
	if !ok {
		return false
	}
	for iter := mapping.MapRange(); iter.Next(); {
		if iter.Key().GetToken().Value == bindingKey {
			return true
		}
	}
	return false
}

// bound makes a sequence of a node that is a binding, and of the program that it names.
func (s *source) bound(prefix string, node ast.Node) (sequence.Logic, problem.List, error) {
	var d binding.Document
	if err := s.decode(prefix, node, &d); err != nil {
		return nil, nil, err
	}
	d.File = s.name
	file, text, err := s.readProgram(prefix, d.Program)
	if err != nil {
		return nil, nil, err
	}
	logic, warnings, err := binding.New(d, file, text)
	warnings = s.locatedBinding(prefix, warnings)
	if err != nil {
		return nil, warnings, s.locatedBinding(prefix, problem.Of(err)).OrNil()
	}
	return logic, warnings, nil
}

// locatedBinding sets the lines of the problems of a binding, and lists them in the order of the document.
// Those of the program have their own lines and stand before them.
func (s *source) locatedBinding(prefix string, found problem.List) problem.List {
	var own, list problem.List
	for _, p := range found {
		if p.File == "" {
			own = append(own, s.located(prefix, problem.List{p})...)
		} else {
			list = append(list, p)
		}
	}
	slices.SortStableFunc(own, func(a, b problem.Problem) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	return append(list, own...)
}

// ofProgram are the problems of the program of a binding that is refused.
func (s *source) ofProgram(node ast.Node) problem.List {
	var d binding.Document
	if err := s.decode("$", node, &d); err != nil {
		d = binding.Document{Program: programNamed(node)}
	}
	file, text, err := s.readProgram("$", d.Program)
	if err != nil {
		return nil // which the binding is refused for
	}
	return binding.VetProgram(d, file, text)
}

// programNamed is the program that a binding names; empty if it does not.
func programNamed(node ast.Node) string {
	mapping, ok := node.(ast.MapNode)
	if !ok {
		return ""
	}
	for iter := mapping.MapRange(); iter.Next(); {
		if iter.Key().GetToken().Value == "program" {
			text, _ := textOf(iter.Value())
			return text
		}
	}
	return ""
}

// programText is the text of a program's file when it was read.
type programText struct{ file, text string }

// changed is whether the file has another text now.
func (p programText) changed() bool {
	if p.file == "" || strings.HasPrefix(p.file, "builtin:") {
		return false
	}
	text, err := readBounded(p.file)
	return err != nil || string(text) != p.text
}

// readProgram reads the program that a binding names, beside the binding.
func (s *source) readProgram(prefix, file string) (name string, text []byte, err error) {
	at := prefix + ".program"
	if file == "" {
		return "", nil, problem.List{s.problem(at, 0, "program is missing; must be the file of a program, such as hoist.st")}
	}
	if builtinPath, ok := strings.CutPrefix(s.name, "builtin:"); ok {
		name = path.Join(path.Dir(builtinPath), file)
		text, err = builtin.ReadFile(name)
		name = "builtin:" + name
	} else {
		name = within(s.folder(), file)
		if err = s.reach.check(s.folder(), name); err == nil {
			text, err = readBounded(name)
		}
	}
	if err != nil {
		s.program = programText{file: name}
		return "", nil, problem.List{s.problem(at, 0, "cannot read the program: "+err.Error())}
	}
	s.program = programText{name, string(text)}
	if err := foreignProgram(file, text); err != nil {
		return "", nil, problem.List{s.problem(at, 0, err.Error())}
	}
	return name, text, nil
}
