package sim

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// formula is a number made of values of a run: numbers, names, + - * /, brackets and abs().
//
//	abs(torque_motor_nm) + 0.1
//	rig.load.mass_kg * 9.81
type formula func(values func(name string) float64) float64

// The bounds of a formula, so that no document can exhaust the stack.
const (
	maxFormula      = 400 // bytes
	maxFormulaDepth = 20  // brackets in brackets
)

// nameScope tells which names a formula may use.
type nameScope interface {
	known(name string) bool
	names() []string
}

// parseFormula reads a formula.
func parseFormula(text string, scope nameScope) (formula, error) {
	if len(text) > maxFormula {
		return nil, fmt.Errorf("formula has %d bytes; must have at most %d", len(text), maxFormula)
	}
	p := formulaParser{rest: text, scope: scope}
	f, err := p.sum(0)
	if err != nil {
		return nil, err
	}
	if p.blanks(); p.rest != "" {
		return nil, fmt.Errorf("formula %q has %q left over; must be numbers and names with + - * / between them", text, p.rest)
	}
	return f, nil
}

// formulaParser reads a formula from left to right, a method for each rank of its operators.
type formulaParser struct {
	rest  string
	scope nameScope
}

func (p *formulaParser) blanks() { p.rest = strings.TrimLeft(p.rest, " \t\r\n") }

// operator takes the next operator if it is one of these.
func (p *formulaParser) operator(among string) (op byte, ok bool) {
	p.blanks()
	if p.rest == "" || strings.IndexByte(among, p.rest[0]) < 0 {
		return 0, false
	}
	op, p.rest = p.rest[0], p.rest[1:]
	return op, true
}

// sum is one product or more, added and subtracted.
func (p *formulaParser) sum(depth int) (formula, error) {
	return p.chain(depth, "+-", p.product)
}

// product is one factor or more, multiplied and divided.
func (p *formulaParser) product(depth int) (formula, error) {
	return p.chain(depth, "*/", p.factor)
}

func (p *formulaParser) chain(depth int, operators string, part func(int) (formula, error)) (formula, error) {
	whole, err := part(depth)
	for err == nil {
		op, ok := p.operator(operators)
		if !ok {
			break
		}
		var right formula
		if right, err = part(depth); err == nil {
			whole = joined(op, whole, right)
		}
	}
	return whole, err
}

func joined(op byte, left, right formula) formula {
	return func(values func(string) float64) float64 {
		l, r := left(values), right(values)
		switch op {
		case '+':
			return l + r
		case '-':
			return l - r
		case '*':
			return l * r
		}
		return l / r
	}
}

// factor is a number, a name, abs() or a formula in brackets, each perhaps with a minus.
func (p *formulaParser) factor(depth int) (formula, error) {
	if depth > maxFormulaDepth {
		return nil, fmt.Errorf("formula is nested more than %d deep; must be simpler", maxFormulaDepth)
	}
	if _, minus := p.operator("-"); minus {
		f, err := p.factor(depth + 1)
		return func(values func(string) float64) float64 { return -f(values) }, err
	}
	if _, bracket := p.operator("("); bracket {
		return p.bracket(depth)
	}
	end := strings.IndexFunc(p.rest, func(r rune) bool { return !isNameSign(r) })
	if end < 0 {
		end = len(p.rest)
	}
	word := p.rest[:end]
	p.rest = p.rest[end:]
	return p.word(word, depth)
}

// bracket is what follows an opening bracket.
func (p *formulaParser) bracket(depth int) (formula, error) {
	f, err := p.sum(depth + 1)
	if err != nil {
		return nil, err
	}
	if _, closed := p.operator(")"); !closed {
		return nil, fmt.Errorf("formula lacks a closing bracket before %q", p.rest)
	}
	return f, nil
}

func isNameSign(r rune) bool {
	return r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r == '_' || r == '.'
}

// word is a number, a name, or abs with its bracket.
func (p *formulaParser) word(word string, depth int) (formula, error) {
	switch {
	case word == "":
		return nil, fmt.Errorf("formula has %q where a number or a name must stand", p.rest)
	case word == "abs":
		if _, bracket := p.operator("("); !bracket {
			return nil, errors.New("abs stands without its bracket; must be abs(…)")
		}
		f, err := p.bracket(depth)
		return func(values func(string) float64) float64 { return math.Abs(f(values)) }, err
	case word[0] >= '0' && word[0] <= '9', word[0] == '.':
		x, err := strconv.ParseFloat(word, 64)
		if err != nil {
			return nil, fmt.Errorf("%q is no number", word)
		}
		return func(func(string) float64) float64 { return x }, nil
	case !p.scope.known(word):
		return nil, fmt.Errorf("there is no value %q%s", word, suggestion(word, p.scope.names()))
	}
	return func(values func(string) float64) float64 { return values(word) }, nil
}
