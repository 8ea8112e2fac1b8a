package st

import (
	"cmp"
	"fmt"
	"slices"
)

// Mutation is a small mistake that an engineer could make in a program: one change of its text,
// with which it still compiles.
type Mutation struct {
	ID           string // names the place and the change; it stays when other lines change
	Kind         MutationKind
	Block        string // with the mistake
	State        string // label of the branch of a CASE over a state with the mistake; empty outside
	Value        int64  // of the first label
	Line, Column int
	Start, End   int // the bytes that are replaced
	Was, Now     string
}

// MutationKind is a kind of mistake.
type MutationKind string

// The kinds of mistakes.
const (
	ComparisonChanged MutationKind = "comparison changed"
	ConstantChanged   MutationKind = "constant changed"
	TimeChanged       MutationKind = "time changed"
	LogicChanged      MutationKind = "AND and OR exchanged"
	OperandDropped    MutationKind = "part of a condition dropped"
	ConditionNegated  MutationKind = "condition negated"
	ArithmeticChanged MutationKind = "operator of a calculation changed"
	AssignmentDropped MutationKind = "assignment dropped"
	CallDropped       MutationKind = "call dropped"
	JumpDropped       MutationKind = "EXIT, CONTINUE or RETURN dropped"
	TransitionDropped MutationKind = "transition dropped"
	TargetChanged     MutationKind = "target of a transition changed"
)

// MutationKinds lists the kinds of mistakes.
func MutationKinds() []MutationKind {
	return []MutationKind{
		ComparisonChanged, ConstantChanged, TimeChanged, LogicChanged, OperandDropped, ConditionNegated,
		ArithmeticChanged, AssignmentDropped, CallDropped, JumpDropped, TransitionDropped, TargetChanged,
	}
}

// Apply is the text with the mistake.
func (m *Mutation) Apply(text string) string { return text[:m.Start] + m.Now + text[m.End:] }

// Mutations lists the mistakes of a program in the order of its text. Those which the checks would
// find are left out.
func (p *Program) Mutations() []Mutation {
	m := &mutator{program: p, ids: map[string]int{}, seen: map[string]bool{}}
	for _, b := range p.Blocks {
		m.block = b
		m.declarations()
		m.states = stateVariables(b)
		m.statements(b.body, "")
	}
	slices.SortStableFunc(m.list, func(a, b Mutation) int { return cmp.Compare(a.Start, b.Start) })
	for i := range m.list {
		m.name(&m.list[i])
	}
	return m.list
}

// stateVariables are those over which a block has a CASE and which it sets itself.
func stateVariables(b *Block) []*Variable {
	var list []*Variable
	walkStatements(b.body, func(s statement) {
		if c, ok := s.(*caseStmt); ok && isWhole(c.selector) {
			if v := rootVariable(c.selector); v != nil && assigns(b.body, v) {
				list = append(list, v)
			}
		}
	})
	return list
}

// mutator collects the mistakes.
type mutator struct {
	program *Program
	block   *Block
	states  []*Variable
	state   string
	value   int64
	list    []Mutation
	ids     map[string]int
	seen    map[string]bool
}

// add enters a change of a span after which the text compiles, as it does for most kinds.
func (m *mutator) add(kind MutationKind, at span, now string) { m.change(kind, at, now, false) }

// doubtful enters a change after which the text may not compile, such as a number that no longer
// fits.
func (m *mutator) doubtful(kind MutationKind, at span, now string) { m.change(kind, at, now, true) }

func (m *mutator) change(kind MutationKind, at span, now string, doubtful bool) {
	p := m.program
	place := p.place(at.from)
	mutation := Mutation{
		Kind: kind, Block: m.block.Name, State: m.state, Value: m.value, Line: place.Line, Column: place.Column,
		Start: int(at.from), End: int(at.to), Was: p.src.piece(at), Now: now,
	}
	key := fmt.Sprint(mutation.Start, mutation.End, now)
	if m.seen[key] || now == mutation.Was {
		return
	}
	m.seen[key] = true
	if doubtful {
		if src := newSource(p.File, mutation.Apply(p.Text)); !passes(src) {
			return
		}
	}
	m.list = append(m.list, mutation)
}

// passes is whether a text compiles.
func passes(src *source) bool {
	f, _ := parse(src)
	c := check(src, f)
	if !src.failed() {
		for _, b := range f.blocks {
			c.layOut(b)
		}
	}
	return !src.failed()
}

// name gives a mistake an ID that no other has.
func (m *mutator) name(mutation *Mutation) {
	id := mutation.Block
	if mutation.State != "" {
		id += "/" + mutation.State
	}
	id += ": " + string(mutation.Kind) + ": " + oneLine(mutation.Was)
	if mutation.Now != "" {
		id += " -> " + oneLine(mutation.Now)
	}
	m.ids[id]++
	if n := m.ids[id]; n > 1 {
		id += fmt.Sprintf(" (%d)", n)
	}
	mutation.ID = id
}

// oneLine shortens a text that goes over several lines, or is long.
func oneLine(text string) string {
	const longest = 80
	runes := []rune(text)
	for i, r := range runes {
		if r == '\n' || i == longest {
			return string(runes[:i]) + " …"
		}
	}
	return text
}

// declarations changes the initial values of variables.
func (m *mutator) declarations() {
	m.state, m.value = "", 0
	for _, v := range m.block.Variables {
		if v.init != nil {
			m.initial(v.init)
		}
	}
}

func (m *mutator) initial(i *initial) {
	if i.value != nil {
		m.expr(i.value)
	}
	for _, item := range i.items {
		if item.value != nil {
			m.initial(item.value)
		}
	}
	for _, f := range i.fields {
		m.initial(f.value)
	}
}
