package sim

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"holdbench/plant"
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
	place    int   // in the schedule, when it was last put in order
	active   bool
	over     bool

	began, ended int64 // ticks, once it is active or over
	effect       effect
}

// setting is a target and the value that a fault gives it.
type setting struct {
	target *Target
	text   string
}

// activeFaults knows the faults that are active, the newest last, and what their targets
// are without them.
type activeFaults struct {
	base   map[string]string // by name of the target
	list   []*scheduledFault
	began  int            // how many faults have begun
	shared []sharedEffect // see [Bench.noteShared]
}

// clone copies the list; its faults are still those of the original.
func (a *activeFaults) clone() activeFaults {
	return activeFaults{base: maps.Clone(a.base), list: slices.Clone(a.list), began: a.began, shared: slices.Clone(a.shared)}
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
		found = append(found, problem.Problem{Path: path, Message: "a fault must set something, or name one of the catalogue: fault: lining-worn=0.25"})
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

// checkRig checks a rig with the fault against the rules of a rig.
func (f *scheduledFault) checkRig(rig *plant.Rig, path string) problem.List {
	changed := *rig
	for _, s := range f.settings {
		if field, ok := plant.FindField(s.target.Name); ok {
			field.MustSet(&changed, s.text)
		}
	}
	_, err := plant.Validate(&changed)
	found := slices.Clone(problem.Of(err))
	for i := range found {
		found[i].Path = path
	}
	return found
}

// CheckFault refuses a fault that no run of the case can have; one without a moment begins at once.
func (c *Case) CheckFault(f Fault) error {
	_, err := c.scheduled(f, 0)
	return err
}

// scheduled is a fault by itself, at a moment of the run if it has none.
func (c *Case) scheduled(f Fault, now time.Duration) (*scheduledFault, error) {
	if f.When == nil && f.At == nil {
		f.At = &now
	}
	if *cmp.Or(f.At, new(time.Duration)) < 0 || f.For < 0 || f.When != nil && f.When.After < 0 {
		return nil, errors.New("a time of the fault is negative; must be 0 or more")
	}
	scheduled, problems := newScheduledFault(&f, "fault", c.Sequence.StateNames(), c.Rig.Clock.Tick)
	if len(problems) == 0 {
		problems = scheduled.checkRig(&c.Rig, "fault.set")
	}
	if len(problems) > 0 {
		return nil, errors.New(problems[0].Message)
	}
	return scheduled, nil
}

// Inject adds a fault to the run from now on. A fault without a moment begins at once; one
// that names a state begins when that state is entered. [Bench.PlayedScenario] contains it.
func (b *Bench) Inject(f Fault) error {
	if b.done {
		return errRunOver()
	}
	scheduled, err := b.c.scheduled(f, b.now())
	if err != nil {
		return err
	}
	switch {
	case scheduled.state >= 0 && b.visited[scheduled.state]:
		return fmt.Errorf("state %s has been entered already; go back to before that, or inject the fault now", f.When.State)
	case scheduled.state < 0 && scheduled.due < b.tick:
		return fmt.Errorf("%v is past; must be %v or later", time.Duration(scheduled.due)*b.c.Rig.Clock.Tick, b.now())
	}
	b.schedule, b.nextFault = append(b.schedule, scheduled), 0
	b.changed(func(again *Bench) error { return again.Inject(f) })
	return nil
}

// RemoveFault takes a fault of [View.Faults] away: one that is active is over from now on,
// one that waits never comes.
func (b *Bench) RemoveFault(i int) error {
	switch {
	case b.done:
		return errRunOver()
	case i < 0 || i >= len(b.schedule):
		return fmt.Errorf("there is no fault %d; there are %d", i+1, len(b.schedule))
	}
	f := b.schedule[i]
	permanent := func(s setting) bool { return s.target.Permanent }
	switch {
	case f.over:
		return fmt.Errorf("%s is over already", f.text())
	case !f.active:
		b.schedule, b.nextFault = slices.Delete(b.schedule, i, i+1), 0
	case slices.ContainsFunc(f.settings, permanent):
		return fmt.Errorf("%s cannot be undone within a run; go back to before it", f.text())
	default:
		f.duration, b.nextFault = b.tick-f.due, 0
		f.fault.For = time.Duration(f.duration) * b.c.Rig.Clock.Tick
	}
	b.changed(func(again *Bench) error { return again.RemoveFault(i) })
	return nil
}

// beginFault applies a fault on top of those that are active.
func (b *Bench) beginFault(f *scheduledFault) {
	b.active.began++
	f.active, f.began, f.effect = true, b.tick, effect{order: b.active.began}
	if b.active.base == nil {
		b.active.base = map[string]string{}
	}
	for _, s := range f.settings {
		was := s.target.get(b)
		if _, known := b.active.base[s.target.Name]; !known {
			b.active.base[s.target.Name] = was
		}
		s.target.set(b, s.text)
		now := s.target.get(b)
		f.effect.on = append(f.effect.on, targetEffect{was: was, now: now, since: -1})
		if !s.target.Operator && now != was {
			b.disturbed = b.disturbed || !b.ended
			b.disturbedInEnd = b.disturbedInEnd || b.ended
		}
	}
	b.active.list = append(b.active.list, f)
	b.recordFault(f, EventFaultBegan, f.text())
}

// endFault gives the targets the values that they have without the fault: those of the
// newest fault that is still active, or those without faults.
func (b *Bench) endFault(f *scheduledFault) {
	f.effect.acted = b.acted(f)
	var held map[*Target]group // buttons, which a press can change meanwhile
	if slices.ContainsFunc(f.settings, func(s setting) bool { return s.target.Operator }) {
		held = b.uppermost()
	}
	f.active, f.over, f.ended = false, true, b.tick
	b.active.list = slices.DeleteFunc(b.active.list, func(other *scheduledFault) bool { return other == f })
	for _, s := range f.settings {
		text := b.active.base[s.target.Name]
		for _, other := range b.active.list {
			for _, same := range other.settings {
				if same.target.Name == s.target.Name {
					text = same.text
				}
			}
		}
		now := s.target.get(b)
		pressed := s.target.Operator && now != held[s.target].value
		s.target.set(b, text)
		if pressed && s.target.get(b) != now {
			f.effect.acted = true // its end undoes a press that came meanwhile
		}
	}
	b.recordFault(f, EventFaultEnded, "over: "+f.text())
}

// recordFault records a fault of the machine; what the operator does has an event of its own.
func (b *Bench) recordFault(f *scheduledFault, t EventType, what string) {
	if !f.operates {
		b.record(t, what)
	}
}

// text is the name of the fault, if it has one, and what it sets, for people.
func (f *scheduledFault) text() string {
	parts := make([]string, len(f.settings))
	for i, s := range f.settings {
		parts[i] = s.target.Name + " = " + s.text
	}
	text := strings.Join(parts, ", ")
	if f.fault.Fault != "" {
		return f.fault.Fault + " (" + text + ")"
	}
	return text
}

// ticksOf rounds a time up to whole ticks.
func ticksOf(d, tick time.Duration) int64 { return int64((d + tick - 1) / tick) }
