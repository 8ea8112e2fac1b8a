package binding

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/goccy/go-yaml"

	"holdbench/plant/problem"
	"holdbench/sequence"
	"holdbench/sequence/st"
)

// candidate is a variable that a signal can be tied to.
type candidate struct {
	path  string
	owner *st.Variable // of the block
	typ   *st.Type
}

// Draft writes a first binding for a program: signals and variables whose types fit and whose names,
// or the values of whose enumerations, are most alike; states, causes and parameters with the names
// that the reference has for them. The block is the one that nothing else calls; name chooses another.
// What is not found stands in it as a comment. The problems are those of the program.
func Draft(file string, text []byte, name string) (string, problem.List, error) {
	program, warnings, err := st.Compile(file, string(text))
	if err != nil {
		return "", warnings, err
	}
	block, err := mainBlock(program, name)
	if err != nil {
		return "", nil, err
	}
	d := &draft{file: filepath.Base(file), program: program, block: block, known: referenceNames()}
	for _, v := range block.Variables {
		if !v.Constant {
			d.collect(v.Name, v, v.Type, 0)
		}
	}
	return d.text(), warnings, nil
}

// mainBlock is the block that is run: the one that is named, else a PROGRAM, else the last
// FUNCTION_BLOCK, as blocks are declared before they are used.
func mainBlock(p *st.Program, name string) (*st.Block, error) {
	var programs, blocks []*st.Block
	var names []string
	for _, b := range p.Blocks {
		switch b.Kind {
		case st.ProgramBlock:
			programs = append(programs, b)
		case st.FunctionBlock:
			blocks = append(blocks, b)
		default:
			continue
		}
		names = append(names, b.Name)
	}
	all := slices.Concat(blocks, programs)
	switch i := slices.IndexFunc(all, func(b *st.Block) bool { return strings.EqualFold(b.Name, name) }); {
	case name != "" && i < 0:
		return nil, fmt.Errorf("there is no PROGRAM or FUNCTION_BLOCK %q; %s", name, sequence.Suggest(name, names))
	case name != "":
		return all[i], nil
	case len(all) == 0:
		return nil, errors.New("the file has no PROGRAM and no FUNCTION_BLOCK; must have one that can be run")
	}
	return all[len(all)-1], nil
}

// draft is a binding on its way.
type draft struct {
	file    string
	program *st.Program
	block   *st.Block
	known   *sequence.Description // the reference, whose names the built-in scenarios use
	all     []candidate           // that nothing is bound to yet
	steps   *candidate            // the enumeration or the integer of the state; nil without one
	values  []step                // of it
	flags   []string              // in place of it
	asksUp  bool
	out     strings.Builder
}

// referenceNames is what the reference tells of its states, causes and parameters.
func referenceNames() *sequence.Description {
	var d sequence.Document
	err := yaml.UnmarshalWithOptions(sequence.Reference(), &d, yaml.Strict())
	if err != nil {
		panic("binding: the reference: " + err.Error())
	}
	p, err := sequence.Compile(d, nil)
	if err != nil {
		panic("binding: the reference: " + err.Error())
	}
	return p.About()
}

func (d *draft) has(path string) bool {
	return slices.ContainsFunc(d.all, func(c candidate) bool { return c.path == path })
}

// take removes a candidate that something is bound to now.
func (d *draft) take(path string) {
	d.all = slices.DeleteFunc(d.all, func(c candidate) bool { return c.path == path })
}

// maxDepth bounds how deep a draft looks into structures.
const maxDepth = 3

// collect lists a variable and the members of one that has some.
func (d *draft) collect(path string, owner *st.Variable, t *st.Type, depth int) {
	if k := t.Kind(); k <= st.Enum && k != 0 {
		d.all = append(d.all, candidate{path, owner, t})
		return
	}
	if depth == maxDepth || t.Kind() == st.Array || standardBlock(t) {
		return
	}
	for _, f := range t.Fields() {
		d.collect(path+"."+f.Name, owner, f.Type, depth+1)
	}
}

// standardBlock is whether a type is a function block of the standard, whose members are no signals.
func standardBlock(t *st.Type) bool {
	names := []string{"TON", "TOF", "TP", "R_TRIG", "F_TRIG", "SR", "RS", "CTU", "CTD", "CTUD"}
	return t.Kind() == st.Instance && slices.Contains(names, strings.ToUpper(t.String()))
}

// text writes the binding.
func (d *draft) text() string {
	d.line("# A first binding, made by the similarity of names and types. Every line needs a review, first those with")
	d.line("# \"check\"; holdbench vet FILE lists what is not bound. Necessary for a test are the outputs drive and brake, and")
	d.line("# a state; for the judge ask, and required_current_a on a rig whose judge compares a current (judge.kind).")
	d.line("binding: %s", strings.ReplaceAll(strings.TrimSuffix(strings.ToLower(d.file), filepath.Ext(d.file)), "_", "-"))
	d.line("program: %s", d.file)
	d.line("block: %s", d.block.Name)
	d.findState()
	d.signals("inputs", sequence.InputSignals(), st.Input, st.Output)
	d.signals("outputs", sequence.OutputSignals(), st.Output, st.Input)
	d.state()
	d.cause()
	d.params()
	d.rest()
	return d.out.String()
}

func (d *draft) line(format string, values ...any) { fmt.Fprintf(&d.out, format+"\n", values...) }
