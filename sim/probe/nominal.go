package probe

import (
	"fmt"
	"slices"

	"holdbench/sequence"
	"holdbench/sim"
)

// Nominal is what came of the case as it stands, without a fault of the probe. All cells start from
// this run, so that they say little if it is not as it must be.
type Nominal struct {
	End        string   `json:"end"`
	Expected   string   `json:"expected"` // end: that of the scenario, pass if it names none
	EndedIn    string   `json:"ended_in"`
	SinceS     float64  `json:"since_s"` // when that state was entered, s
	DurationS  float64  `json:"duration_s"`
	Cause      string   `json:"cause"`
	Broken     []string `json:"broken"`     // obligations
	Unexpected bool     `json:"unexpected"` // these are not those that the scenario expects to be broken
	// Untold is whether the controller told no state but that of the end.
	Untold bool `json:"states_untold,omitempty"`
	// ControllerStopped is where the controller stopped by itself; nil if it did not.
	ControllerStopped *sim.ControllerStop `json:"controller_stopped,omitempty"`
}

// NewNominal runs a case as it stands.
func NewNominal(c *sim.Case) (*Nominal, error) {
	r, err := sim.Run(c, nil)
	if err != nil {
		return nil, fmt.Errorf("probe: the run without a fault: %w", err)
	}
	n := &Nominal{
		End: r.End, Expected: sequence.EndPass.String(), EndedIn: r.EndedIn, DurationS: r.DurationS, Cause: r.Cause,
		Broken: append([]string{}, r.Broken()...), ControllerStopped: r.ControllerStopped,
	}
	names := make([]string, len(r.Visits))
	for i, v := range r.Visits {
		names[i], n.SinceS = v.State, v.At.Seconds()
	}
	n.Untold = untold(c, names)
	for _, e := range r.Expectations {
		switch e.Name {
		case "end":
			n.Expected = e.Want
		case "obligations":
			n.Unexpected = !e.Met
		}
	}
	return n, nil
}

// Endless is whether the run does not end within its time limit.
func (n *Nominal) Endless() bool { return slices.Contains(n.Broken, sim.Bounded) }

// Sound is whether the run ends as it must, and breaks no obligation but those that the scenario expects
// to be broken.
func (n *Nominal) Sound() bool { return n.End == n.Expected && !n.Unexpected }

// untold is whether a run with these states is of a controller that tells none: only that of the start,
// which it did not tell, and those that stand for its end.
func untold(c *sim.Case, entered []string) bool {
	if !c.Untold() {
		return false
	}
	d := c.Sequence
	for _, name := range entered {
		if i, ok := d.StateIndex(name); ok && i != d.Start && d.States[i].End == sequence.EndNone {
			return false
		}
	}
	return true
}
