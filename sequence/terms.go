package sequence

import (
	"strings"

	"github.com/expr-lang/expr/ast"
	"github.com/expr-lang/expr/file"
	"github.com/expr-lang/expr/parser/lexer"
)

// term is a part of a condition, compiled once with it; see Term.
type term struct {
	text        string
	depth       int
	join, group string
	boolean     func(*Inputs) bool

	op          string // of a comparison; "" otherwise
	left, right code
	unit        Unit
}

// part is a node with the tokens it was written with. not means that it counts
// inverted, because of a not outside these tokens.
type part struct {
	node     ast.Node
	from, to int // tokens, to is the first behind
	not      bool
}

// splitter splits a checked condition.
type splitter struct {
	scope  *scope
	source []rune          // in the spelling of the parser
	tokens []lexer.Token   // of the source
	places []file.Location // of the tokens in the text as written, which the tree has
	terms  []term
}

// terms splits a condition at each "and" and "or". A not before brackets is applied
// to the terms within, where "and" becomes "or" and vice versa, so that every live
// value has its own line.
func (s *scope) terms(e *Expr) []term {
	sp := splitter{scope: s}
	sp.read(e.Text)
	if len(sp.tokens) == 0 {
		return nil // it has been parsed, so this cannot be
	}
	whole := part{node: e.Node, to: len(sp.tokens) - 1} // without the end
	join, parts := sp.parts(whole)
	if join == "" {
		parts = []part{whole}
	}
	for _, p := range parts {
		sp.add(p, 0, join)
	}
	return sp.terms
}

// read takes the tokens of a text that has been parsed.
func (sp *splitter) read(text string) {
	s, err := spelled(text)
	if err != nil {
		return
	}
	sp.source = s.plain
	if sp.tokens, err = lexer.Lex(file.NewSource(string(s.plain))); err != nil {
		sp.tokens = nil
	}
	for i := range sp.tokens {
		sp.places = append(sp.places, s.location(sp.tokens[i].Location))
	}
}

// add appends a part, and below it the parts it is joined of.
func (sp *splitter) add(p part, depth int, join string) {
	group, parts := sp.parts(p)
	t := sp.termOf(p)
	t.depth, t.join, t.group = depth, join, group
	sp.terms = append(sp.terms, t)
	for _, below := range parts {
		sp.add(below, depth+1, group)
	}
}

// parts returns the word that joins a part, and what it joins; "" if nothing does.
func (sp *splitter) parts(p part) (string, []part) {
	p = sp.stripped(p)
	n, ok := p.node.(*ast.BinaryNode)
	if !ok {
		return "", nil
	}
	word := joining(n.Operator, p.not)
	at := sp.tokenOf(n, p)
	if word == "" || at < 0 {
		return "", nil
	}
	var all []part
	for _, side := range []part{{n.Left, p.from, at, p.not}, {n.Right, at + 1, p.to, p.not}} {
		if below, parts := sp.parts(side); below == word {
			all = append(all, parts...)
			continue
		}
		all = append(all, side)
	}
	return word, all
}

// joining is the word for an operator, inverted by a not before it; "" for one that
// joins nothing.
func joining(operator string, not bool) string {
	switch operator {
	case opAnd, "&&":
		if not {
			return opOr
		}
		return opAnd
	case opOr, "||":
		if not {
			return opAnd
		}
		return opOr
	}
	return ""
}

// stripped removes the outer brackets and every not of a part.
func (sp *splitter) stripped(p part) part {
	for {
		p = sp.unbracketed(p)
		n, ok := p.node.(*ast.UnaryNode)
		if !ok || n.Operator == "-" || sp.tokenOf(n, p) != p.from {
			return p
		}
		p = part{n.Node, p.from + 1, p.to, !p.not}
	}
}

func (sp *splitter) unbracketed(p part) part {
	for p.to-p.from > 2 && sp.closing(p.from) == p.to-1 {
		p.from, p.to = p.from+1, p.to-1
	}
	return p
}

// closing finds the bracket that closes the one at a token; -1 if none opens there.
func (sp *splitter) closing(from int) int {
	open := 0
	for i := from; i < len(sp.tokens); i++ {
		switch {
		case sp.tokens[i].Is(lexer.Bracket, "("):
			open++
		case sp.tokens[i].Is(lexer.Bracket, ")"):
			open--
		}
		if open == 0 {
			if i == from {
				return -1
			}
			return i
		}
	}
	return -1
}

// tokenOf finds the token of a node's operator within a part; -1 if it is not there.
func (sp *splitter) tokenOf(n ast.Node, p part) int {
	for i := p.from; i < p.to; i++ {
		if sp.places[i] == n.Location() {
			return i
		}
	}
	return -1
}

// termOf is the term of one part as a whole.
func (sp *splitter) termOf(p part) term {
	t := term{text: sp.text(p)}
	p = sp.stripped(p)
	if n, ok := p.node.(*ast.BinaryNode); ok && joining(n.Operator, false) == "" {
		t.comparison(sp.scope, n, p.not)
	} else {
		t.boolean = sp.scope.compile(p.node).boolean
	}
	if yes := t.boolean; p.not {
		t.boolean = func(in *Inputs) bool { return !yes(in) }
	}
	return t
}

// comparison fills in both sides, the live one on the left.
func (t *term) comparison(s *scope, n *ast.BinaryNode, not bool) {
	t.op, t.left, t.right = n.Operator, s.compile(n.Left), s.compile(n.Right)
	t.boolean = compileBinary(n.Operator, t.left, t.right).boolean
	if t.left.number != nil {
		c := checker{scope: s}
		t.unit = c.sameUnit(n, n.Operator, n.Left, n.Right).unit
	}
	if not {
		t.op = opposite(t.op)
	}
	if t.left.fixed && !t.right.fixed {
		t.op, t.left, t.right = mirrored(t.op), t.right, t.left
	}
}

// opposite is the comparison that holds when the given one does not.
func opposite(operator string) string {
	switch operator {
	case "<":
		return ">="
	case "<=":
		return ">"
	case ">":
		return "<="
	case ">=":
		return "<"
	case "==":
		return "!="
	}
	return "=="
}

// mirrored is the comparison with its sides exchanged.
func mirrored(operator string) string {
	switch operator {
	case "<":
		return ">"
	case "<=":
		return ">="
	case ">":
		return "<"
	case ">=":
		return "<="
	}
	return operator
}

// text is a part as written. Where a not was applied to it, a not is added or its own
// not removed.
func (sp *splitter) text(p part) string {
	p = sp.unbracketed(p)
	written := sp.written(p.from, p.to)
	if !p.not {
		return written
	}
	switch n := p.node.(type) {
	case *ast.UnaryNode:
		return sp.text(part{n.Node, p.from + 1, p.to, false})
	case *ast.BinaryNode, *ast.ConditionalNode:
		return "not (" + written + ")"
	}
	return "not " + written
}

// written is the source of some tokens, with one blank for any gap in it.
func (sp *splitter) written(from, to int) string {
	var b strings.Builder
	for i := from; i < to; i++ {
		if i > from && sp.tokens[i].From > sp.tokens[i-1].To {
			b.WriteByte(' ')
		}
		b.WriteString(string(sp.source[sp.tokens[i].From:sp.tokens[i].To]))
	}
	return b.String()
}
