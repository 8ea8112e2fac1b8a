package export

import (
	"slices"
	"strconv"
	"strings"

	"holdbench/sequence"
)

// This file writes the tables that begin with the inputs.

// inputTable is a matrix of inputs and states: in which states a way out looks at an input, with the
// numbers of the transitions.
func inputTable(p *sequence.Program) Table {
	t := Table{Name: "inputs", Title: "Inputs and states: the transitions of each state that look at an input, by their number", Columns: []string{"input", "any"}}
	for _, s := range p.States() {
		t.Columns = append(t.Columns, s.Name)
	}
	for _, name := range p.About().Inputs {
		row := []string{name, readers(p.Any(), 0, name)}
		for i, s := range p.States() {
			row = append(row, readers(s.Edges, i+1, name))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// readers are the numbers of the transitions of a state that look at an input.
func readers(edges []sequence.Edge, state int, input string) string {
	var list []string
	for k := range edges {
		if looksAt(&edges[k], input) {
			list = append(list, numberOf(state, k))
		}
	}
	return strings.Join(list, " ")
}

// looksAt is whether a transition looks at an input, be it for its cause.
func looksAt(e *sequence.Edge, input string) bool {
	return e.When != nil && slices.Contains(namesIn(e.When), input) || e.Cause == input && (input == "judge_cause" || input == "stop_cause")
}

// effects are what transitions that look at an input lead to.
type effects struct {
	states []int            // in the order of the document
	by     map[int][]string // numbers of the transitions by state
}

func effectsOf(p *sequence.Program, input string) effects {
	f := effects{by: map[int][]string{}}
	see := func(edges []sequence.Edge, state int) {
		for k := range edges {
			if to := edges[k].Target; looksAt(&edges[k], input) {
				f.by[to] = append(f.by[to], numberOf(state, k))
			}
		}
	}
	see(p.Any(), 0)
	for i, s := range p.States() {
		see(s.Edges, i+1)
	}
	for i := range p.States() {
		if f.by[i] != nil {
			f.states = append(f.states, i)
		}
	}
	return f
}

// values are what the states that an input leads to give an output, each once.
func (f *effects) values(p *sequence.Program, output string) []string {
	var list []string
	for _, i := range f.states {
		if v, set := commanded(&p.States()[i], output); set && !slices.Contains(list, v) {
			list = append(list, v)
		}
	}
	return list
}

// effectTable says of each input to which states the transitions lead that look at it, and which outputs are
// set there: words as they are, of numbers and texts that they are.
func effectTable(p *sequence.Program) Table {
	outputs := p.About().Outputs
	t := Table{
		Name: "effects", Title: "Inputs and effects: the states, by number, that transitions lead to which look at an input, and the outputs that these states set; set is a number or a text",
		Columns: slices.Concat([]string{"input", "leads to"}, outputs),
	}
	for _, input := range p.About().Inputs {
		f := effectsOf(p, input)
		if f.states == nil {
			continue
		}
		var to []string
		for _, i := range f.states {
			to = append(to, strconv.Itoa(i+1))
		}
		row := []string{input, strings.Join(to, " ")}
		for _, o := range outputs {
			row = append(row, effectText(o, f.values(p, o)))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

func effectText(output string, values []string) string {
	if len(values) == 0 || wordy(output) {
		return strings.Join(values, " ")
	}
	return "set"
}

// wordy is whether an output is one of several words.
func wordy(output string) bool {
	return slices.ContainsFunc(sequence.OutputSignals(), func(s sequence.Signal) bool { return s.Name == output && s.Words != nil })
}

// Matrix is the wide form of the inputs and effects, for a spreadsheet: outputs with all values that are set, then
// every state with the numbers of the transitions that lead there.
func Matrix(p *sequence.Program) Table {
	outputs := p.About().Outputs
	t := Table{Name: MatrixName, Title: "Inputs against outputs and states", Columns: slices.Concat([]string{"input"}, outputs)}
	for _, s := range p.States() {
		t.Columns = append(t.Columns, s.Name)
	}
	for _, input := range p.About().Inputs {
		f := effectsOf(p, input)
		row := []string{input}
		for _, o := range outputs {
			row = append(row, strings.Join(f.values(p, o), "; "))
		}
		for i := range p.States() {
			row = append(row, strings.Join(f.by[i], " "))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// MatrixName is the name of [Matrix].
const MatrixName = "matrix"
