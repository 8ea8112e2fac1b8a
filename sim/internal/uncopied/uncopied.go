// Package uncopied makes sequences whose controllers cannot be copied and are otherwise as they
// were, for tests.
package uncopied

import (
	"time"

	"holdbench/sequence"
	"holdbench/sim"
)

// Case is a case on such a sequence.
func Case(c *sim.Case) *sim.Case {
	n := *c
	n.Logic = logic{c.Logic}
	return &n
}

type logic struct{ sequence.Logic }

// With is the sequence with other values, and no more to be copied than before.
func (l logic) With(values sequence.Values) (sequence.Logic, error) {
	made, err := l.Logic.With(values)
	if err != nil {
		return nil, err
	}
	return logic{made}, nil
}

// New makes a controller that refuses to be copied.
func (l logic) New(scan time.Duration) sequence.Controller { return controller{l.Logic.New(scan)} }

type controller struct{ sequence.Controller }

// Copy refuses.
func (controller) Copy() (sequence.Controller, bool) { return nil, false }
