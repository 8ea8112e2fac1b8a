package binding

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"holdbench/sequence"
	"holdbench/sequence/st"
)

// stateOf finds the state of a program.
type stateOf struct {
	handle st.Ref // of the variable; unset with flags
	kind   st.Kind
	values []stateValue
	index  index // of the values
	flags  []stateFlag
	rest   int // the state while no flag is set; -1 if there is none
}

type stateValue struct {
	whole int64
	state int
}

type stateFlag struct {
	handle st.Ref
	state  int
}

// now is the place of the present state. It is an error if the variable has a value that is none.
func (s *stateOf) now(i *st.Machine) (int, error) {
	if s.flags == nil {
		return s.byValue(i)
	}
	for k := range s.flags {
		if i.Bool(s.flags[k].handle) {
			return s.flags[k].state, nil
		}
	}
	if s.rest < 0 {
		return 0, errors.New("none of the flags of the state is set, and the binding has no state for that")
	}
	return s.rest, nil
}

func (s *stateOf) byValue(i *st.Machine) (int, error) {
	if k := s.index.place(whole(i, s.handle, s.kind)); k >= 0 {
		return s.values[k].state, nil
	}
	return 0, fmt.Errorf("the variable of the state has the value %s, for which the binding has no state", i.Format(s.handle))
}

// settle prepares what a scan looks up.
func (s *stateOf) settle() {
	list := make([]int64, len(s.values))
	for k := range s.values {
		list[k] = s.values[k].whole
	}
	s.index = indexOf(list)
}

// state checks what says the state, and lists the states.
func (c *checker) state(shown []sequence.Signal) (stateOf, []sequence.StateInfo) {
	w := &c.doc.State
	s := stateOf{rest: -1}
	var states []sequence.StateInfo
	switch {
	case w.Variable == "" && len(w.Flags) == 0:
		c.fail("$.state", "state has neither variable nor flags; must have one of them")
		return s, nil
	case w.Variable != "" && len(w.Flags) > 0:
		c.fail("$.state", "state has variable and flags; must have one of them")
		return s, nil
	case w.Variable != "":
		states = c.stateValues(w, &s)
	default:
		states = c.stateFlags(w, &s)
	}
	c.ends(w.Ends, states)
	for _, list := range []States{w.Values, w.Flags} {
		for _, v := range list {
			if k := slices.IndexFunc(states, func(s sequence.StateInfo) bool { return s.Name == v.State }); k >= 0 {
				states[k].Kept = append(states[k].Kept, c.keeps("$.state", v.Keep, shown)...)
			}
		}
	}
	return s, states
}

// stateValues are the states by the value of a variable; those of an enumeration by its own names
// unless the binding gives others.
func (c *checker) stateValues(w *State, s *stateOf) []sequence.StateInfo {
	h, ok := c.variable("$.state.variable", w.Variable, true)
	if !ok {
		return nil
	}
	t := h.Type()
	s.handle, s.kind = h, t.Kind()
	if k := t.Kind(); k != st.Enum && (k < st.Sint || k > st.Lword) {
		c.fail("$.state.variable", "%s is %s; must be an enumeration or an integer, or flags in place of it", w.Variable, article(t))
		return nil
	}
	written := w.Values
	if len(written) == 0 {
		values := t.Values()
		for i, name := range stateNames(values) {
			written = append(written, StateOf{Key: values[i].Name, State: name})
		}
	}
	if len(written) == 0 {
		c.fail("$.state", "%s is %s; values must say which value is which state", w.Variable, article(t))
	}
	var states []sequence.StateInfo
	for _, v := range written {
		at := "$.state.values." + v.Key
		value, ok := parseValue(t, v.Key)
		if !ok {
			c.fail(at, "%q is no value of %s%s", v.Key, article(t), nearestValue(t, v.Key))
			continue
		}
		s.values = append(s.values, stateValue{value, c.addState(at, &states, v)})
	}
	c.withoutState(t, w.Variable, s)
	s.settle()
	return states
}

// withoutState warns of the values of an enumeration that are no state.
func (c *checker) withoutState(t *st.Type, variable string, s *stateOf) {
	for _, v := range t.Values() {
		if !slices.ContainsFunc(s.values, func(o stateValue) bool { return o.whole == v.Value }) {
			c.warn("$.state.values", "the value %s of %s is no state: a scan that leaves it there stops the controller", v.Name, variable)
		}
	}
}

// stateFlags are the states by the flag that is set.
func (c *checker) stateFlags(w *State, s *stateOf) []sequence.StateInfo {
	var states []sequence.StateInfo
	for _, f := range w.Flags {
		at := "$.state.flags." + f.Key
		h, ok := c.variable(at, f.Key, true)
		if ok && h.Type().Kind() != st.Bool {
			c.fail(at, "%s is %s; the flag of a state must be a BOOL", f.Key, article(h.Type()))
		}
		if state := c.addState(at, &states, f); ok {
			s.flags = append(s.flags, stateFlag{h, state})
		}
	}
	if w.Otherwise != "" {
		s.rest = c.addState("$.state.otherwise", &states, StateOf{State: w.Otherwise})
	}
	return states
}

// addState adds a state, or finds it: several values can be one state.
func (c *checker) addState(path string, states *[]sequence.StateInfo, w StateOf) int {
	if why := sequence.StateNameFault(w.State); why != "" {
		c.fail(path, "%s", why)
	}
	if k := slices.IndexFunc(*states, func(s sequence.StateInfo) bool { return s.Name == w.State }); k >= 0 {
		return k
	}
	*states = append(*states, sequence.StateInfo{Name: w.State, Note: w.Note, SlipsBrake: w.SlipsBrake})
	return len(*states) - 1
}

// stateNames makes the names of states of those of an enumeration: in lower case, and without the
// beginning that all of them share, as S_ in S_READY and S_TRAVEL.
func stateNames(values []st.EnumValue) []string {
	names := make([]string, len(values))
	for i, v := range values {
		names[i] = strings.Trim(strings.ToLower(v.Name), "_")
	}
	for len(names) > 1 {
		mark, _, cut := strings.Cut(names[0], "_")
		shares := func(name string) bool { return strings.HasPrefix(name, mark+"_") }
		if !cut || slices.ContainsFunc(names, func(n string) bool { return !shares(n) }) {
			break
		}
		for i := range names {
			names[i] = strings.TrimPrefix(names[i], mark+"_")
		}
	}
	return names
}

// ends marks the states that end a run.
func (c *checker) ends(ends map[string]string, states []sequence.StateInfo) {
	names := make([]string, len(states))
	for i := range states {
		names[i] = states[i].Name
	}
	kinds := map[string]sequence.EndKind{"pass": sequence.EndPass, "fail": sequence.EndFail, "stop": sequence.EndStop}
	for _, state := range sortedKeys(ends) {
		at := "$.state.ends." + state
		k := slices.Index(names, state)
		kind, known := kinds[ends[state]]
		switch {
		case k < 0:
			c.fail(at, "there is no state %q; %s", state, sequence.Suggest(state, names))
		case !known:
			c.fail(at, "%q is no end; must be pass, fail or stop", ends[state])
		default:
			states[k].End = kind
		}
	}
	if len(ends) == 0 && len(states) > 0 {
		c.warn("$.state", "no state is an end: every run goes on to its time limit; ends must name one that is a pass at least")
	}
}
