package sim

import (
	"fmt"
	"strings"

	"holdbench/sequence"
)

// The expectations that name states.
const (
	expectPath    = "path"
	expectTook    = "took"
	expectOutputs = "outputs"
)

// OnAnotherRig removes what depends on the scenario's own rig: times and outputs. Left are the names of
// these expectations.
func (e *Expect) OnAnotherRig() (left []string) {
	return append(e.leaveTook(), e.leaveOutputs()...)
}

// WithAnother removes what cannot be expected of another sequence in place of the scenario's own: expectations
// that name a state or an output that it does not have. Each is kept or left as a whole, as what remained of it
// would be of states that mean something else. Left are their names.
func (e *Expect) WithAnother(d *sequence.Description) (left []string) {
	states := d.StateNames()
	if len(e.Path) > 0 && len(checkPath(e.Path, states[d.Start], states)) > 0 {
		left, e.Path = append(left, expectPath), nil
	}
	for state := range e.Took {
		if _, ok := d.StateIndex(state); !ok || d.End(state) != sequence.EndNone {
			left = append(left, e.leaveTook()...)
			break
		}
	}
	if !setsAll(d, e.Outputs) {
		left = append(left, e.leaveOutputs()...)
	}
	return left
}

// setsAll is whether a sequence has the states, and sets the outputs, of expectations of outputs.
func setsAll(d *sequence.Description, outputs map[string]map[string]string) bool {
	for state, values := range outputs {
		if _, ok := d.StateIndex(state); !ok {
			return false
		}
		for output := range values {
			if !d.Sets(output) {
				return false
			}
		}
	}
	return true
}

func (e *Expect) leaveTook() []string {
	if len(e.Took) == 0 {
		return nil
	}
	e.Took = nil
	return []string{expectTook}
}

func (e *Expect) leaveOutputs() []string {
	if len(e.Outputs) == 0 {
		return nil
	}
	e.Outputs = nil
	return []string{expectOutputs}
}

// NotAppliedText says which expectations of its scenario a run is not compared with; empty if with all.
func (r *Result) NotAppliedText() string {
	switch n := len(r.NotApplied); n {
	case 0:
		return ""
	case 1:
		return "1 expectation not applied: " + r.NotApplied[0]
	default:
		return fmt.Sprintf("%d expectations not applied: %s", n, strings.Join(r.NotApplied, ", "))
	}
}
