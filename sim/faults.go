package sim

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"holdbench/plant/problem"
)

// scheduledFault is a fault of the scenario inside a run: its targets are found, its times
// are ticks.
type scheduledFault struct {
	fault    Fault
	settings []setting
	operates bool  // it does nothing but what the operator does
	state    int   // place of the state that it waits for, -1 for the clock of the run
	delay    int64 // ticks after the state was entered
	duration int64 // ticks, 0: to the end of the run
	due      int64 // tick, -1 until it is known
	active   bool
	over     bool
}

// setting is a target and the value that a fault gives it.
type setting struct {
	target *Target
	text   string
}

// scheduleOf finds the targets and moments of a scenario's faults; problems point into the
// scenario.
func scheduleOf(s *Scenario, states []string, tick time.Duration) ([]*scheduledFault, problem.List) {
	if len(s.Faults) == 0 {
		return nil, nil
	}
	var list []*scheduledFault
	var found problem.List
	for i := range s.Faults {
		f, problems := newScheduledFault(&s.Faults[i], fmt.Sprintf("faults[%d]", i), states, tick)
		list, found = append(list, f), append(found, problems...)
	}
	return list, found
}

func newScheduledFault(fault *Fault, path string, states []string, tick time.Duration) (*scheduledFault, problem.List) {
	f := &scheduledFault{fault: *fault, duration: ticksOf(fault.For, tick)}
	found := f.schedule(path, states, tick)
	for _, key := range sortedKeys(fault.Set) {
		if t := targets().byName[key]; fault.For > 0 && t != nil && t.Permanent {
			found = append(found, problem.Problem{Path: path + ".for", Message: key + " cannot be undone within a run; must be permanent, without for"})
		}
	}
	if len(fault.Set) == 0 {
		found = append(found, problem.Problem{Path: path, Message: "a fault must set something"})
	}
	settings, problems := newSettings(fault.Set, path+".set")
	f.settings = settings
	f.operates = len(settings) > 0 && !slices.ContainsFunc(settings, func(s setting) bool { return !s.target.Operator })
	return f, append(found, problems...)
}

// schedule sets when the fault comes, as far as that is known before the run.
func (f *scheduledFault) schedule(path string, states []string, tick time.Duration) problem.List {
	f.state, f.due = -1, -1
	when := f.fault.When
	switch {
	case (when == nil) == (f.fault.At == nil):
		return problem.List{{Path: path, Message: "a fault needs either when or at; it has both or neither"}}
	case when == nil:
		f.due = ticksOf(*f.fault.At, tick)
	case when.State == "":
		f.due = ticksOf(when.After, tick)
	default:
		f.state, f.delay = slices.Index(states, when.State), ticksOf(when.After, tick)
		if f.state < 0 {
			return problem.List{{Path: path + ".when.state", Message: noState(when.State, states)}}
		}
	}
	return nil
}

func newSettings(set map[string]string, path string) ([]setting, problem.List) {
	var list []setting
	var found problem.List
	for _, key := range sortedKeys(set) {
		place := path + quoted(key)
		t := targets().byName[key]
		if t == nil {
			found = append(found, problem.Problem{Path: place, Message: fmt.Sprintf("a fault cannot set %q%s", key, suggestion(key, targetNames()))})
			continue
		}
		if err := t.check(set[key]); err != nil {
			found = append(found, problem.Problem{Path: place, Message: err.Error()})
		}
		list = append(list, setting{t, set[key]})
	}
	return list, found
}

// text is what the fault sets, for people.
func (f *scheduledFault) text() string {
	parts := make([]string, len(f.settings))
	for i, s := range f.settings {
		parts[i] = s.target.Name + " = " + s.text
	}
	return strings.Join(parts, ", ")
}

// ticksOf rounds a time up to whole ticks.
func ticksOf(d, tick time.Duration) int64 { return int64((d + tick - 1) / tick) }

func sortedKeys[V any, K cmp.Ordered](m map[K]V) []K {
	keys := make([]K, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
