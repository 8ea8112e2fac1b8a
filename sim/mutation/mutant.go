// Package mutation finds out whether a set of scenarios detects errors in a sequence (mutation
// testing). It makes copies of the document of the sequence, each with one small error, and
// runs the scenarios on them. A copy with which all scenarios are still as expected is an error
// that an engineer could make undetected, and shows that a scenario is missing.
package mutation

import "holdbench/sequence"

// Mutant is a sequence with one small error.
type Mutant struct {
	ID       string // names operator and place, such as travel/settle: negate "standstill"
	Operator Operator
	State    string // with the error; empty for a transition under any
	Path     string // of the error in the document, such as $.states.travel.go[1].when
	Was, Now string // the value before and after; Now is empty where it was removed
	Document sequence.Document
	// Line is that of the error in the text of a program; 0 for a document.
	Line int
	// Program makes the sequence of a mutant that is a program; nil for a document.
	Program func() (sequence.Logic, error)

	alsoIn     string               // the second of two states that were exchanged
	event      string               // of the transition with the error; empty if none has
	transition *sequence.Transition // as it was; nil if none has the error
}

// logic is the sequence with the error; the error is what its checks find.
func (m *Mutant) logic() (sequence.Logic, error) {
	if m.Program != nil {
		return m.Program()
	}
	p, err := sequence.Compile(m.Document, nil)
	if err != nil {
		return nil, err // and not a Logic that is not nil
	}
	return p, nil
}

// Operator is a kind of error.
type Operator string

// The operators.
const (
	DropCondition Operator = "condition dropped"
	Negate        Operator = "condition negated"
	Limit         Operator = "limit halved or doubled"
	Time          Operator = "time dropped"
	Cause         Operator = "cause dropped"
	WrongTarget   Operator = "wrong target"
	Remove        Operator = "transition removed"
	Setting       Operator = "setting left out"
	Keeping       Operator = "value not kept"
	SwapStates    Operator = "two states exchanged"
	RemoveAny     Operator = "any transition removed"
)

// Operators lists the kinds of errors of a document.
func Operators() []Operator {
	return []Operator{
		DropCondition, Negate, Limit, Time, Cause, WrongTarget, Remove, RemoveAny, Setting, Keeping, SwapStates,
	}
}

// anyPlace is the state of a transition under any, in an ID.
const anyPlace = "any"
