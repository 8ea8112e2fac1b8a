package st

import (
	"time"

	"holdbench/plant/problem"
)

// VetOptions add what cannot be read from the text.
type VetOptions struct {
	Block  *Block   // to look at; nil for all
	Ends   []string // names or numbers of states that need no way out
	Starts []string // those of states that a run can begin in without entering them
	Main   *Block   // the one that runs
	State  string   // variable of Main that tells its state; where it is known, no other one is
	Steps  []string // BOOL variables of Main that tell its state, one of them TRUE at a time; the first that is counts
	Given  []string // variables of Main that are written from outside
	Shown  []string // those that are read from outside

	Inputs   []VetInput             // those of Given that may have any value at any time; nil for all VAR_INPUT that are no TIME
	Settings []string               // those of Given that stay as they are in a run; BOOLs and integers are drawn as well
	Begins   []func(*Machine) error // each sets an instance of Main up as a run may begin; none for the initial values
	// Passes sets the inputs that grow with the time ahead of a scan: that in the state, and since the scan before.
	Passes func(m *Machine, inState, step time.Duration)
}

// VetInput is an input of a program that is run with drawn values.
type VetInput struct {
	Path   string
	Values []int64 // which it can have, if they are not all of its type
}

// Vet warns of what is allowed and looks like an oversight, in the order of the text: outputs that
// are never written, inputs and variables that are never used, an output written at two places in
// one scan, states without a way out, and states that may wait without a time limit. A state is a
// branch of a CASE over a variable that the block itself sets, or a step that the options name.
// Waits are looked for by running the program with drawn inputs: one that is reported was seen, and of
// what such a run does not reach nothing is said. All else is read from the text.
func (p *Program) Vet(options VetOptions) problem.List {
	src := newSource(p.File, p.Text)
	var waiters []*waiter
	for _, b := range p.Blocks {
		if options.Block != nil && b != options.Block {
			continue
		}
		v := &vetter{src: src, program: p, block: b, options: options}
		if b != options.Main {
			v.options.Steps, v.options.Given, v.options.Shown = nil, nil, nil
		}
		v.unused()
		v.doubleWrites()
		v.states()
		v.chain()
		waiters = append(waiters, v.waiters...)
	}
	p.waits(src, options, waiters)
	return src.problems()
}

// vetter looks at one block.
type vetter struct {
	src     *source
	program *Program
	block   *Block
	options VetOptions
	work    int // that the steps have taken so far
	waiters []*waiter
}

// unused warns of variables that have no effect.
func (v *vetter) unused() {
	read, written := map[*Variable]bool{}, map[*Variable]bool{}
	walkStatements(v.block.body, func(s statement) {
		for _, e := range reads(s) {
			walkExpr(e, func(part expr) {
				if n, ok := part.(*nameExpr); ok {
					read[n.variable] = true
				}
				if c, ok := part.(*callExpr); ok {
					mark(written, writtenArguments(c.args))
				}
			})
		}
		mark(written, writes(s))
		if c, ok := s.(*callStmt); ok && c.instance != nil {
			mark(read, []expr{c.instance})
			mark(written, []expr{c.instance})
		}
	})
	v.markNames(written, v.options.Given)
	v.markNames(read, v.options.Shown)
	for _, d := range v.block.Variables {
		v.unusedVariable(d, read[d], written[d])
	}
}

// markNames enters the variables that paths begin with, but for inputs and outputs, which the block
// itself must read or write.
func (v *vetter) markNames(set map[*Variable]bool, paths []string) {
	for _, path := range paths {
		if d := v.block.byName[upper(pathRoot(path))]; d != nil {
			set[d] = d.Section != Input && d.Section != Output || set[d]
		}
	}
}

func mark(set map[*Variable]bool, list []expr) {
	for _, e := range list {
		set[rootVariable(e)] = true
	}
}

func (v *vetter) unusedVariable(d *Variable, read, written bool) {
	switch {
	case d.Section == Output && !written && d.init == nil:
		v.src.warnf(d.at, "the output %s is never written; write it, or remove it", d.Name)
	case d.Section == Input && !read:
		v.src.warnf(d.at, "the input %s is never read; read it, or remove it", d.Name)
	case d.Section == Output || d.Section == Input || d.fixed:
	case !read && !written:
		v.src.warnf(d.at, "%s is never used; remove it", d.Name)
	case !read && d.Section != InOut:
		v.src.warnf(d.at, "%s is written and never read; read it, or remove it", d.Name)
	case !written && !d.Constant && d.Section != InOut && d.init == nil:
		v.src.warnf(d.at, "%s is read and never written, so it is always %s; write it, or remove it", d.Name, initialText(d.Type))
	}
}

// initialText describes the value of a variable without an initial value.
func initialText(t *Type) string {
	switch {
	case t.kind == Bool:
		return "FALSE"
	case t.kind.number():
		return "0"
	}
	return "as at the start"
}
