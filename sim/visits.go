package sim

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"holdbench/plant/problem"
	"holdbench/sequence"
)

// Visit is a stay of the sequence in a state; of a run with very many of them, one with the state "..." stands for
// those that are left out.
type Visit struct {
	State string
	Event string           // the transition that led there, such as travel/0 or any/1; empty at the start and when power returned
	At    time.Duration    // when it was entered, from the start of the run
	Stay  time.Duration    // until the end of the run in the last state
	Out   sequence.Outputs // once it was entered
	Set   bool             // Out is what the state set; not if the power failed before its first scan
}

// stateEntry is a visit as the bench keeps it.
type stateEntry struct {
	state int
	event string
	tick  int64
	out   sequence.Outputs
	set   bool // out is what the state has set
}

// visits lists the visits so far.
func (b *Bench) visits() []Visit {
	end := b.endTick
	if end < 0 { // the run goes on
		end = b.tick
	}
	tick := b.c.Rig.Clock.Tick
	list := make([]Visit, len(b.entries))
	for i, s := range b.entries {
		until := end
		if i+1 < len(b.entries) {
			until = b.entries[i+1].tick
		}
		name := anyStates
		if s.state != leftOut {
			name = b.c.Sequence.States[s.state].Name
		}
		list[i] = Visit{
			State: name, Event: s.event,
			At: time.Duration(s.tick) * tick, Stay: time.Duration(until-s.tick) * tick, Out: s.out, Set: s.set,
		}
	}
	return list
}

// anyStates stands in a path for any number of states, none among them.
const anyStates = "..."

// checkVisits reports expectations of visits that can never be met.
func (c *Case) checkVisits() problem.List {
	e, d := &c.Scenario.Expect, c.Sequence
	states := d.StateNames()
	found := append(checkPath(e.Path, states[d.Start], states), checkOutputs(e.Outputs, states)...)
	for _, state := range sortedKeys(e.Took) {
		bounds := e.Took[state]
		message := bounds.problem()
		switch {
		case !slices.Contains(states, state):
			message = noState(state, states)
		case c.stays(state):
			message = state + " is an end without transitions, in which a run stays; must be a state that it leaves"
		}
		if message != "" {
			found = append(found, problem.Problem{Path: "expect.took" + quoted(state), Message: message})
		}
	}
	return found
}

// stays is whether no run leaves a state: it is an end without transitions. When power returns, the sequence begins
// anew from any state.
func (c *Case) stays(state string) bool {
	p, ok := c.Program()
	if !ok || c.mayLosePower() { // the transitions of a program are not to be read
		return false
	}
	i, known := c.Sequence.StateIndex(state)
	return known && c.Sequence.States[i].End != sequence.EndNone && len(p.States()[i].Edges) == 0
}

func checkPath(path []string, start string, states []string) problem.List {
	if path != nil && len(path) == 0 {
		return problem.List{{Path: "expect.path", Message: "path is empty; must name the states that the run enters, in order"}}
	}
	var found problem.List
	for i, state := range path {
		at := fmt.Sprintf("expect.path[%d]", i)
		switch {
		case state == anyStates:
		case !slices.Contains(states, state):
			found = append(found, problem.Problem{Path: at, Message: noState(state, states) + ", or ... for whatever comes between"})
		case i == 0 && state != start:
			found = append(found, problem.Problem{Path: at, Message: fmt.Sprintf("path begins with %s, and every run with %s; must begin with that, or with ...", state, start)})
		}
	}
	return found
}

func noState(name string, states []string) string {
	return fmt.Sprintf("there is no state %q in the sequence%s", name, suggestion(name, states))
}

// pathMet is whether a run entered the states of a path, and no others except where the path
// leaves them open.
func pathMet(path []string, visits []Visit) bool {
	open, from := -1, 0 // the last opening, and the visit that comes after what it took
	p, v := 0, 0
	for v < len(visits) {
		switch {
		case p < len(path) && path[p] == anyStates:
			open, from = p, v
			p++
		case p < len(path) && path[p] == visits[v].State:
			p, v = p+1, v+1
		case open >= 0: // let the opening take one more
			from++
			p, v = open+1, from
		default:
			return false
		}
	}
	return !slices.ContainsFunc(path[p:], func(state string) bool { return state != anyStates })
}

const (
	pathShown = 60 // states that are written out
	arrow     = " → "
)

// pathText writes the states of a run; of a long run its beginning and its end.
func pathText(visits []Visit) string {
	var names []string
	for i, v := range visits {
		if left := len(visits) - pathShown; left > 0 && i >= pathShown/2 && i < pathShown/2+left {
			if i == pathShown/2 {
				names = append(names, fmt.Sprintf("(%d more)", left))
			}
			continue
		}
		names = append(names, v.State)
	}
	return strings.Join(names, arrow)
}

// DurationBounds is a closed range of times; a nil end is open.
type DurationBounds struct {
	AtLeast *time.Duration `yaml:"at_least,omitempty"`
	AtMost  *time.Duration `yaml:"at_most,omitempty"`
}

func (s DurationBounds) hold(d time.Duration) bool {
	return (s.AtLeast == nil || d >= *s.AtLeast) && (s.AtMost == nil || d <= *s.AtMost)
}

// problem says why no time, or every time, meets the range; empty if neither is so.
func (s DurationBounds) problem() string {
	switch {
	case s.AtLeast == nil && s.AtMost == nil:
		return "a time has neither at_least nor at_most; must have one of them"
	case s.AtLeast != nil && s.AtMost != nil && *s.AtLeast > *s.AtMost:
		return fmt.Sprintf("at_least is %v and at_most is %v; no time is both", *s.AtLeast, *s.AtMost)
	}
	return ""
}

func (s DurationBounds) String() string {
	var parts []string
	if s.AtLeast != nil {
		parts = append(parts, "at least "+s.AtLeast.String())
	}
	if s.AtMost != nil {
		parts = append(parts, "at most "+s.AtMost.String())
	}
	return strings.Join(parts, ", ")
}

// comparePath compares the states of a run, and the time in them, with the expectations. The time in an end that
// the run does not leave has no end, and meets none.
func comparePath(e *Expect, visits []Visit, ended bool) []Expectation {
	var list []Expectation
	if len(e.Path) > 0 {
		list = append(list, Expectation{"path", pathMet(e.Path, visits), strings.Join(e.Path, arrow), pathText(visits)})
	}
	for _, state := range sortedKeys(e.Took) {
		want := e.Took[state]
		x := Expectation{Name: "took", Want: state + " " + want.String(), Got: state + " never entered"}
		i := slices.IndexFunc(visits, func(v Visit) bool { return v.State == state })
		switch {
		case i < 0:
		case ended && i == len(visits)-1:
			x.Got = state + " never left"
		default:
			x.Met, x.Got = want.hold(visits[i].Stay), state+" "+visits[i].Stay.String()
		}
		list = append(list, x)
	}
	return append(list, compareOutputs(e.Outputs, visits)...)
}
