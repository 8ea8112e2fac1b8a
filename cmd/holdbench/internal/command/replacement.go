package command

import (
	"sync"

	"holdbench/plant"
	"holdbench/scenarios"
	"holdbench/sequence"
)

// Replacement is what runs in the place of the sequence of many scenarios. Where it cannot be used, that is
// one mistake and not one of each scenario, and a controller that does not start is not waited for again.
type Replacement struct {
	outside scenarios.Outside // as it was given

	mu  sync.Mutex
	err error
}

// NewReplacement puts the replacement into the overrides. The error is of a sequence that cannot be used.
func NewReplacement(o *scenarios.Overrides) (*Replacement, error) {
	r := &Replacement{outside: o.Outside}
	if o.Outside != nil {
		o.Outside = r.once
	}
	if o.Sequence == "" {
		return r, nil
	}
	_, _, err := scenarios.LoadLogic(o.Sequence, o.Reach)
	return r, err
}

// once is the controller outside; after an error it is the same error.
func (r *Replacement) once(base sequence.Logic, rig *plant.Rig) (made sequence.Logic, own bool, err error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.err == nil {
		made, own, r.err = r.outside(base, rig)
	}
	return made, own, r.err
}

// Err is why the controller outside cannot be used; nil if it can.
func (r *Replacement) Err() error {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.err
}
