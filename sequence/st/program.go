package st

import (
	"fmt"
	"slices"

	"holdbench/plant/problem"
)

// Program is a text that has been read, checked and compiled. It is not changed by those who
// run it, so that any number of goroutines can share it.
type Program struct {
	File   string
	Text   string   // without a byte-order mark
	Blocks []*Block // of the file, in its order
	Types  []*Type  // that the file declares, in its order

	src     *source
	checker *checker
	bodies  map[*Block]*body
	scratch int // bytes of an instance for strings on their way
}

// Compile reads a text; file is its name in messages. It returns warnings and,
// as the error, a problem.List of all errors, in the order of the text.
func Compile(file, text string) (*Program, problem.List, error) {
	src := newSource(file, text)
	if len(text) > MaxSource {
		src.text = text[:0]
		src.errorf(span{}, "the file has %d bytes; must be at most %d", len(text), MaxSource)
		return nil, nil, src.problems().OrNil()
	}
	if !src.readable() {
		return nil, nil, src.problems().OrNil()
	}
	f, whole := parse(src)
	if !whole { // declarations may be missing, and their uses are no errors
		warnings, err := src.problems().Split()
		return nil, warnings, err
	}
	c := check(src, f)
	if !src.failed() {
		for _, b := range f.blocks {
			c.layOut(b)
		}
	}
	warnings, err := src.problems().Split()
	if err != nil {
		return nil, warnings, err
	}
	p := &Program{File: file, Text: src.text, Blocks: f.blocks, src: src, checker: c}
	for _, d := range f.types {
		p.Types = append(p.Types, d.typ)
	}
	shared := &compilation{checker: c, bodies: map[*Block]*body{}}
	for _, b := range f.blocks {
		shared.block(b)
	}
	p.bodies, p.scratch = shared.bodies, shared.text
	return p, warnings, nil
}

// Block finds a block of the file by its name, in any case.
func (p *Program) Block(name string) (*Block, error) {
	var names []string
	for _, b := range p.Blocks {
		if upper(b.Name) == upper(name) {
			return b, nil
		}
		names = append(names, b.Name)
	}
	hint := suggest(name, names)
	if hint == "" {
		hint = "; it has " + list(names)
	}
	return nil, fmt.Errorf("%s has no block %q%s", p.File, name, hint)
}

// Find resolves the path of a variable of a block once, for use in every scan: names separated
// by points and indexes in brackets, as in axis.timer.Q or table[3]. Variables inside of
// instances can be reached too.
func (p *Program) Find(block *Block, path string) (Ref, error) {
	f := finder{program: p, path: path}
	ref, err := f.find(block)
	if err != nil {
		return Ref{}, fmt.Errorf("%s: %s: %w", p.File, block.Name, err)
	}
	return ref, nil
}

// runs is the reason why a block cannot run by itself, nil if it can: a FUNCTION has no instance, and
// VAR_IN_OUT needs a caller.
func (b *Block) runs() error {
	switch i := slices.IndexFunc(b.Variables, func(v *Variable) bool { return v.Section == InOut }); {
	case b.Kind == Function:
		return fmt.Errorf("%s is a FUNCTION; must be a PROGRAM or a FUNCTION_BLOCK", b.Name)
	case i >= 0:
		return fmt.Errorf("%s has the VAR_IN_OUT %s, which needs a caller; write a PROGRAM that calls it", b.Name, b.Variables[i].Name)
	}
	return nil
}
