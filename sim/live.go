package sim

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"time"
)

// errRunOver is what a run says that can no longer be changed.
func errRunOver() error { return errors.New("the run is over; go back in it, and change it there") }

// Inject adds a fault to the run from now on. A fault without a moment comes at once;
// when a state is named it comes once that state is entered. [Bench.PlayedScenario] has it.
func (b *Bench) Inject(f Fault) error {
	if b.done {
		return errRunOver()
	}
	if f.When == nil && f.At == nil {
		now := b.now()
		f.At = &now
	}
	if *cmp.Or(f.At, new(time.Duration)) < 0 || f.For < 0 || f.When != nil && f.When.After < 0 {
		return errors.New("a time of the fault is below zero; must be 0 or more")
	}
	c, problems := newScheduledFault(&f, "fault", b.c.stateNames(), b.c.Rig.Clock.Tick)
	if len(problems) == 0 {
		problems = b.c.checkFaulted([]*scheduledFault{c})
	}
	if len(problems) > 0 {
		return errors.New(problems[0].Message)
	}
	switch {
	case c.state >= 0 && b.visited[c.state]:
		return fmt.Errorf("state %s was entered already; go back to before that, or inject it now", f.When.State)
	case c.state < 0 && c.due < b.tick:
		return fmt.Errorf("%v is over; must be a moment from %v on", time.Duration(c.due)*b.c.Rig.Clock.Tick, b.now())
	}
	b.schedule = append(b.schedule, c)
	return nil
}

// RemoveFault takes a fault of [Look.Faults] away: one that is on is over from now on, one
// that waits never comes.
func (b *Bench) RemoveFault(i int) error {
	switch {
	case b.done:
		return errRunOver()
	case i < 0 || i >= len(b.schedule):
		return fmt.Errorf("there is no fault %d; there are %d", i+1, len(b.schedule))
	}
	c := b.schedule[i]
	stays := func(item setting) bool { return item.target.permanent }
	switch {
	case c.over:
		return fmt.Errorf("%s is over already", c.text())
	case !c.active:
		b.schedule = slices.Delete(b.schedule, i, i+1)
	case slices.ContainsFunc(c.settings, stays):
		return fmt.Errorf("%s is nothing that mends itself; go back to before it", c.text())
	default:
		c.duration = b.tick - c.due
		c.fault.For = time.Duration(c.duration) * b.c.Rig.Clock.Tick
	}
	return nil
}

// SetButton sets one of the operator's buttons from now on; see [Buttons].
func (b *Bench) SetButton(button string, on bool) error {
	switch {
	case b.done:
		return errRunOver()
	case new(operator).button(button) == nil:
		return fmt.Errorf("%q is nothing that the operator can set%s", button, suggestion(button, Buttons()))
	}
	b.buttonsSet = append(b.buttonsSet, Action{At: b.now(), Set: map[string]bool{button: on}})
	b.script = append(slices.Clip(b.script), buttonEdge{b.tick, button, on})
	sortByTick(b.script)
	return nil
}

// PlayedScenario is the scenario as it was played so far: with the faults that were injected or
// lifted and the buttons that were pushed on the way. Run from its start, it gives the
// same run.
func (b *Bench) PlayedScenario() Scenario {
	s := b.c.Scenario
	s.Faults = nil
	for _, c := range b.schedule {
		s.Faults = append(s.Faults, c.fault)
	}
	if len(b.buttonsSet) > 0 {
		s.Script = slices.Concat(asWritten(s.Script), b.buttonsSet)
	}
	return s
}

// EffectiveScenario is what was played, for a run that is over: without the faults whose moment never
// came, as a scenario that names them would not be as expected.
func (b *Bench) EffectiveScenario() Scenario {
	s := b.PlayedScenario()
	s.Faults = nil
	for _, c := range b.schedule {
		if c.active || c.over {
			s.Faults = append(s.Faults, c.fault)
		}
	}
	return s
}

// asWritten gives the script that a scenario without one means.
func asWritten(script []Action) []Action {
	if len(script) > 0 {
		return script
	}
	return []Action{{At: triggerAt, Set: map[string]bool{buttonTrigger: true}}}
}

// now is the time of the tick that comes next.
func (b *Bench) now() time.Duration { return time.Duration(b.tick) * b.c.Rig.Clock.Tick }
