package sweep

import "holdbench/sim"

// Refusal is why a run has no proof. Only a refusal for the brake says something about its torque
// and belongs to the operating characteristic.
type Refusal string

// The refusals; a proof has none.
const (
	forBrake Refusal = "brake" // the judge saw it move, or it slipped before the test was given up
	forOther Refusal = "other" // such as a deviation of the load, found before the brake was pressed
)

// moved is the cause that the judge gives when the position leaves the window.
const moved = "moved"

// refusalOf tells by the events of a run. The cause that a sequence gives is a word of its own, so
// that truth decides: whether the closed brake had slipped when the test failed. What slips later,
// in the stop that follows, is no result of the test.
func refusalOf(r *sim.Result) Refusal {
	if r.Verdict == proven {
		return ""
	}
	slipped := false
	for i := range r.Events {
		e := &r.Events[i]
		switch {
		case e.Type == sim.EventSlipBegan:
			slipped = true
		case e.Type == sim.EventFailed && e.Cause == moved:
			return forBrake
		case endsTest(e, r):
			return refusal(slipped)
		}
	}
	return refusal(slipped)
}

// endsTest is whether an event gives the test up: a failed check, or without one the transition
// that names the cause of the run.
func endsTest(e *sim.Event, r *sim.Result) bool {
	if r.Verdict == failed {
		return e.Type == sim.EventFailed
	}
	return e.Type == sim.EventStateEntered && e.Cause != "" && e.Cause == r.Cause
}

func refusal(slipped bool) Refusal {
	if slipped {
		return forBrake
	}
	return forOther
}
