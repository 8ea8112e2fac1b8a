// Package mutation asks whether a set of scenarios would notice a mistake in a sequence.
// It makes copies of the sequence's document, each with one small thing wrong, and runs
// the scenarios on them: a copy that all of them still find as expected is a mistake
// that an engineer could make unseen, and a scenario that is missing.
package mutation

import "holdbench/sequence"

// Mutant is a sequence with one small thing wrong.
type Mutant struct {
	ID       string // names operator and place, such as travel/settle: negate "standstill"
	Operator Operator
	State    string // whose body is wrong; empty for a transition under any
	Path     string // of what is wrong in the document, such as $.states.travel.go[1].when
	Was, Now string // the value before and after; Now is empty where it is gone
	Document sequence.Document

	alsoIn     string               // the second state, where two changed places
	event      string               // of the transition that is wrong; empty if none is
	transition *sequence.Transition // as it was; nil if none is wrong
}

// Operator is a kind of mistake.
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
	SwapStates    Operator = "two states exchanged"
	RemoveAny     Operator = "any transition removed"
)

// Operators lists the kinds of mistakes.
func Operators() []Operator {
	return []Operator{
		DropCondition, Negate, Limit, Time, Cause, WrongTarget, Remove, RemoveAny, Setting, SwapStates,
	}
}

// anyPlace stands in an ID for what is under any.
const anyPlace = "any"
