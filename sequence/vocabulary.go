package sequence

import (
	"fmt"
	"slices"
)

// FunctionInfo describes one function of the expressions.
type FunctionInfo struct {
	Name     string
	Min, Max int // arguments
	Note     string
}

// Functions lists what an expression can call, in the order of help.
func Functions() []FunctionInfo {
	var list []FunctionInfo
	for _, f := range functions() {
		list = append(list, FunctionInfo{f.name, f.min, f.max, f.note})
	}
	return list
}

// Form is how a call is written, such as abs(a) or min(a, b, …).
func (f *FunctionInfo) Form() string {
	switch {
	case f.Name == fnPrevious:
		return f.Name + "(input)"
	case f.Max == 1:
		return f.Name + "(a)"
	}
	return fmt.Sprintf("%s(a, b) to %d arguments", f.Name, f.Max)
}

// OperatorInfo describes one operator of the expressions.
type OperatorInfo struct {
	Operator string
	Unary    bool
	Other    string // another spelling of it, empty if there is none
	Note     string
}

// Operators lists the operators in the order of help.
func Operators() []OperatorInfo {
	const same = " of numbers in the same unit"
	return []OperatorInfo{
		{"-", true, "", "the negative number"},
		{"+", false, "", "sum" + same},
		{"-", false, "", "difference" + same},
		{"*", false, "", "product, in the product of the units"},
		{"/", false, "", "quotient, in the quotient of the units"},
		{"<", false, "", "less, of numbers in the same unit"},
		{"<=", false, "", "less or equal"},
		{">", false, "", "greater"},
		{">=", false, "", "greater or equal"},
		{"==", false, "=", "equal, of numbers, booleans or words"},
		{"!=", false, "<>", "not equal"},
		{opAnd, false, "&&", "both are true"},
		{opOr, false, "||", "one of them is true, or both"},
		{opNot, true, "!", "the opposite"},
	}
}

// operates is whether the language has an operator as the parser spells it.
func operates(operator string, unary bool) bool {
	return slices.ContainsFunc(Operators(), func(o OperatorInfo) bool {
		return o.Unary == unary && (o.Operator == operator || o.Other == operator)
	})
}

// ReservedWords lists words that are no names of parameters and kept values, besides those of the functions.
func ReservedWords() []string { return reservedWords() }

// UnitEnding is an ending of a name, and the unit that it means.
type UnitEnding struct {
	Ending string
	Unit   Unit
}

// UnitEndings lists them; the first that fits a name counts.
func UnitEndings() []UnitEnding {
	var list []UnitEnding
	for _, s := range suffixes() {
		list = append(list, UnitEnding{s.ending, s.unit})
	}
	return list
}

// NamePattern is a regular expression for the names of states, parameters and kept values.
const NamePattern = "^[a-z][a-z0-9_]*$"
