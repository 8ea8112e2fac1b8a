package probe

import (
	"slices"
	"strings"

	"holdbench/sim"
)

// The moments of a state at which a fault begins.
const (
	AtStart = "start"   // of the run
	Entry   = "entry"   // with the scan after the one that entered the state
	Midway  = "midway"  // in the middle of the stay
	Leaving = "leaving" // just before the last scan in the state
	Change  = "change"  // just before the scan that leaves the state
)

// Cell is one fault at one moment.
type Cell struct {
	Fault    string  `json:"fault"`
	Group    string  `json:"group"`
	Severity string  `json:"severity"` // mild, usual, severe; empty without a scale
	Number   float64 `json:"number"`   // of the scale
	State    string  `json:"state"`    // empty: the whole run
	Moment   string  `json:"moment"`
	// AfterS is the time after the state was entered, s.
	AfterS float64 `json:"after_s"`
	With   string  `json:"with,omitempty"` // the other fault of a pair
	// Route holds the faults that lead to the state, in the written form of a selection, or the
	// other fault of a pair.
	Route []string `json:"route,omitempty"`
	// Spec is the fault in the written form of a selection.
	Spec string `json:"spec"`
}

// Key identifies the cell within a probe, and in another one.
func (c *Cell) Key() string {
	return strings.Join(append([]string{c.Fault, c.Severity, c.stateName(), c.Moment}, c.Route...), " ")
}

// wholeRun is the state of a fault that is there from the start of the run.
const wholeRun = "run"

// stateName is the state, or the word for the whole run.
func (c *Cell) stateName() string {
	if c.State == "" {
		return wholeRun
	}
	return c.State
}

// Outcome is the outcome of a cell.
type Outcome struct {
	Cell
	End        string    `json:"end"`
	EndedIn    string    `json:"ended_in"`
	Verdict    string    `json:"verdict"`
	Cause      string    `json:"cause"`
	Class      sim.Class `json:"class"`
	Broken     []string  `json:"broken"` // obligations
	LoadDropMM float64   `json:"load_drop_mm"`
	DurationS  float64   `json:"duration_s"`
	// FirstSignS is when an input of the sequence first differed from the run without the
	// fault, s; nil if none ever did.
	FirstSignS *float64 `json:"sign_s"`
	// Late is whether the fault could not be detected in time: it came within the check that gave
	// the proof or after it, and without a sign ahead of the proof, or when the sequence was about
	// to end, as it does without the fault, and to release the axis, or no signal showed it before
	// an obligation was broken.
	Late bool `json:"late"`
	// NeverCame is whether the fault never came, because another one changed the path.
	NeverCame bool `json:"never,omitempty"`
	// Unpreventable is whether the load could not be held from the fault on with any reaction of
	// drive and brake: no sequence could have prevented it.
	Unpreventable bool     `json:"not_preventable"`
	Path          []string `json:"path"` // states in the order in which they were entered first
	Kind          Kind     `json:"kind"`
	// ControllerStopped is where the controller stopped by itself; nil if it never did.
	ControllerStopped *sim.ControllerStop `json:"controller_stopped,omitempty"`
	// Accepted is the reason for which a reviewer accepts the outcome by name; empty if no one
	// does. It belongs to the review and is not kept with the cell.
	Accepted string `json:"-"`
}

// Kind ranks an outcome by its danger.
type Kind string

// The kinds.
const (
	Missed     Kind = "missed"      // operation released with insufficient torque, or with a load that was not held
	Dropped    Kind = "dropped"     // the load dropped more than the limit
	Stale      Kind = "stale"       // pass on an old proof
	Endless    Kind = "endless"     // the run did not end
	Broken     Kind = "broken"      // another obligation was broken
	FalseAlarm Kind = "false-alarm" // no release, and no fault
	Fine       Kind = "fine"
)

// Kinds lists the kinds, the most dangerous first.
func Kinds() []Kind { return []Kind{Missed, Dropped, Stale, Endless, Broken, FalseAlarm, Fine} }

// Rank is the place of a kind in Kinds.
func (k Kind) Rank() int { return slices.Index(Kinds(), k) }

// Dangerous is whether something went wrong that a sequence could have detected or prevented, and
// that no entry accepts.
func (o *Outcome) Dangerous() bool { return o.failed() && !o.SetAside() }

// SetAside is whether the outcome needs no review: by rule, or because it is accepted by name.
func (o *Outcome) SetAside() bool { return o.Excused() || o.Accepted != "" }

// Excused is whether no sequence could have detected or prevented it.
func (o *Outcome) Excused() bool { return o.Late || o.Unpreventable }

// outcomeOf is the outcome of a run.
func outcomeOf(c Cell, r *sim.Result, signS *float64, path []string) Outcome {
	o := Outcome{
		Cell: c, End: r.End, EndedIn: r.EndedIn, Verdict: r.Verdict, Cause: r.Cause, Class: r.Class,
		Broken: append([]string{}, r.Broken()...), LoadDropMM: r.LoadDropMM, DurationS: r.DurationS, FirstSignS: signS, Path: path,
		ControllerStopped: r.ControllerStopped,
	}
	o.Kind = o.kind()
	held := !slices.Contains(o.Broken, sim.NoDrop)
	o.Late = o.Kind == Missed && r.Verdict == "proven" && held && late(r) && (signS == nil || *signS > lastTimeS(r.Events, sim.EventProven))
	return o
}

// late is whether the first fault began within the last check of the brake whose torque is
// insufficient, or after it; of each, if both are. Where no brake is, the last check counts.
func late(r *sim.Result) bool {
	first := slices.IndexFunc(r.Events, func(e sim.Event) bool { return e.Type == sim.EventFaultBegan })
	if first < 0 {
		return false
	}
	asked, known := 0.0, false
	for _, second := range []bool{false, true} {
		if r.Insufficient(second) {
			asked, known = max(asked, lastCheckS(r.Events, second)), true
		}
	}
	if !known {
		asked = lastTimeS(r.Events, sim.EventAsked)
	}
	return r.Events[first].TS >= asked
}

// lastCheckS is when the check began that gave a brake its last proof, s; before the run if none did.
func lastCheckS(events []sim.Event, second bool) float64 {
	for i, e := range slices.Backward(events) {
		if e.Type == sim.EventProven && e.OfBrake(second) {
			return lastTimeS(events[:i], sim.EventAsked)
		}
	}
	return -1
}

// failed is whether something went wrong.
func (o *Outcome) failed() bool { return o.Kind.Rank() < FalseAlarm.Rank() }

// lastTimeS is when the last event of a type came, s; before the run if none did.
func lastTimeS(events []sim.Event, of sim.EventType) float64 {
	for _, e := range slices.Backward(events) {
		if e.Type == of {
			return e.TS
		}
	}
	return -1
}

// excuse records whether the load could not have been held, or the sequence had ended, and whether
// every other obligation was broken unseen, before the fault could be detected. A proof with
// insufficient torque is excused only together with the load drop.
func (o *Outcome) excuse(best sim.BestReaction, unseen []string) {
	others := slices.DeleteFunc(slices.Clone(o.Broken), func(name string) bool {
		return name == sim.NoDrop || name == sim.LockedOut || slices.Contains(unseen, name)
	})
	dropped := slices.Contains(o.Broken, sim.NoDrop)
	ofLoad := dropped || slices.Contains(o.Broken, sim.LockedOut)
	unpreventable := dropped && best.LoadDrops || !dropped && ofLoad && best.Unsupported
	over := dropped && best.TestOver
	held := !ofLoad || unpreventable || over // or could not be
	switch {
	case len(o.Broken) == 0, !held, o.Kind == Missed && !dropped:
	case len(others) > 0 && ofLoad:
		o.Kind = Broken
	case len(others) == 0:
		o.Late, o.Unpreventable = len(unseen) > 0 || !unpreventable, unpreventable
	}
}

func (o *Outcome) kind() Kind {
	broken := func(name string) bool { return slices.Contains(o.Broken, name) }
	switch {
	case o.Class == sim.Missed:
		return Missed
	case broken(sim.NoDrop):
		return Dropped
	case broken(sim.FreshProof):
		return Stale
	case broken(sim.Bounded):
		return Endless
	case len(o.Broken) > 0:
		return Broken
	case o.Class == sim.FalseAlarm:
		return FalseAlarm
	}
	return Fine
}
