package st

import (
	"slices"
	"strings"
)

// Case is a CASE statement that selects by a variable: where the variable is the state of a
// program, its branches are what the program does in its states.
type Case struct {
	Line     int
	Branches []Branch // the one of ELSE last, without labels
}

// Branch is a branch of a CASE.
type Branch struct {
	Labels []string // as written
	Ranges []Range  // of the values it stands for
	First  Place    // of its label
	Last   Place    // behind its last statement
	Reads  []Ref    // variables of one value that it reads, in their order, each once
	Writes []Ref    // variables of one value that it writes
}

// Range is the values from one to another, those of ULINT and LWORD with their
// highest bit inverted.
type Range struct{ From, To int64 }

// Place is a place in the text.
type Place struct {
	Line, Column int // from 1
	Offset       int // bytes from the beginning
}

// Branch is the index of the branch of a value, that of ELSE if no other has it, -1 if there is
// none.
func (c *Case) Branch(value int64) int {
	for i := range c.Branches {
		b := &c.Branches[i]
		if len(b.Labels) == 0 || slices.ContainsFunc(b.Ranges, func(r Range) bool { return r.From <= value && value <= r.To }) {
			return i
		}
	}
	return -1
}

// Cases are the CASE statements that select by a variable, in the order of the text. The variable
// may be inside of an instance: test.state of a block that has an instance test.
func (p *Program) Cases(block *Block, state Ref) []Case {
	owner, prefix := p.ownerOf(block, state.path)
	var cases []Case
	walkStatements(owner.body, func(s statement) {
		if c, ok := s.(*caseStmt); ok && rootVariable(c.selector) == state.variable && isWhole(c.selector) {
			cases = append(cases, p.caseOf(block, prefix, c))
		}
	})
	return cases
}

// isWhole is whether an expression is a variable of the block itself and no part of one.
func isWhole(e expr) bool {
	_, ok := e.(*nameExpr)
	return ok
}

// ownerOf is the block that declares the variable of a path, and the path up to it.
func (p *Program) ownerOf(b *Block, path string) (owner *Block, prefix string) {
	for {
		end := strings.IndexByte(path[len(prefix):], '.')
		if end < 0 {
			return b, prefix
		}
		r, err := p.Find(b, path[len(prefix):len(prefix)+end])
		if err != nil || r.typ.kind != Instance {
			return b, prefix
		}
		prefix, b = path[:len(prefix)+end+1], r.typ.block
	}
}

func (p *Program) caseOf(block *Block, prefix string, s *caseStmt) Case {
	line, _ := p.src.place(s.at.from)
	c := Case{Line: line}
	for i := range s.branches {
		b := p.branch(block, prefix, s.branches[i].at, s.branches[i].body)
		for _, l := range s.branches[i].labels {
			b.Labels = append(b.Labels, p.src.piece(l.at))
			b.Ranges = append(b.Ranges, Range{l.from, l.to})
		}
		c.Branches = append(c.Branches, b)
	}
	if s.hasElse {
		c.Branches = append(c.Branches, p.branch(block, prefix, s.elseAt, s.orElse))
	}
	return c
}

func (p *Program) branch(block *Block, prefix string, at span, body []statement) Branch {
	b := Branch{First: p.place(at.from), Last: p.place(at.to)}
	add := func(to *[]Ref, e expr) {
		for _, path := range p.paths(e) {
			r, err := p.Find(block, prefix+path)
			if err != nil || !r.typ.kind.elementary() || slices.ContainsFunc(*to, func(o Ref) bool { return o.path == r.path }) {
				continue
			}
			*to = append(*to, r)
		}
	}
	walkStatements(body, func(s statement) {
		for _, e := range reads(s) {
			add(&b.Reads, e)
		}
		for _, e := range writes(s) {
			add(&b.Writes, e)
		}
	})
	return b
}

func (p *Program) place(offset int32) Place {
	line, column := p.src.place(offset)
	return Place{line, column, int(offset)}
}

// paths are the variables that an expression is made of; a part of one with an index that is not
// known is left out, its index is not.
func (p *Program) paths(e expr) []string {
	var list []string
	switch e := e.(type) {
	case *nameExpr:
		if e.variable != nil && e.variable.Section != InOut {
			list = append(list, e.variable.Name)
		}
	case *fieldExpr:
		for _, of := range p.paths(e.of) {
			list = append(list, of+"."+e.name)
		}
	case *indexExpr:
		return p.indexPaths(e)
	case *unaryExpr:
		return p.paths(e.x)
	case *parenExpr:
		return p.paths(e.x)
	case *binaryExpr:
		return append(p.paths(e.x), p.paths(e.y)...)
	case *callExpr:
		for _, a := range e.args {
			if a.value != nil {
				list = append(list, p.paths(a.value)...)
			}
		}
	}
	return list
}

func (p *Program) indexPaths(e *indexExpr) []string {
	indexes := make([]string, len(e.indexes))
	var list []string
	for i, x := range e.indexes {
		if v := x.info().val; v != nil {
			indexes[i] = orderedText(Lint, v.integer)
			continue
		}
		list = append(list, p.paths(x)...)
	}
	if len(list) == 0 {
		for _, of := range p.paths(e.of) {
			list = append(list, of+"["+strings.Join(indexes, ", ")+"]")
		}
	}
	return list
}
