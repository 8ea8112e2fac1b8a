package sim

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"time"
)

// errRunOver refuses a change of a run that is over.
func errRunOver() error { return errors.New("the run has ended; go back in it and change it there") }

// Inject adds a fault to the run from now on. A fault without a moment begins at once; one
// that names a state begins when that state is entered. [Bench.PlayedScenario] contains it.
func (b *Bench) Inject(f Fault) error {
	if b.done {
		return errRunOver()
	}
	if f.When == nil && f.At == nil {
		now := b.now()
		f.At = &now
	}
	if *cmp.Or(f.At, new(time.Duration)) < 0 || f.For < 0 || f.When != nil && f.When.After < 0 {
		return errors.New("a time of the fault is negative; must be 0 or more")
	}
	scheduled, problems := newScheduledFault(&f, "fault", b.c.stateNames(), b.c.Rig.Clock.Tick)
	if len(problems) == 0 {
		problems = b.c.checkFaulted([]*scheduledFault{scheduled})
	}
	if len(problems) > 0 {
		return errors.New(problems[0].Message)
	}
	switch {
	case scheduled.state >= 0 && b.visited[scheduled.state]:
		return fmt.Errorf("state %s has been entered already; go back to before that, or inject the fault now", f.When.State)
	case scheduled.state < 0 && scheduled.due < b.tick:
		return fmt.Errorf("%v is past; must be %v or later", time.Duration(scheduled.due)*b.c.Rig.Clock.Tick, b.now())
	}
	b.schedule = append(b.schedule, scheduled)
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
		b.schedule = slices.Delete(b.schedule, i, i+1)
	case slices.ContainsFunc(f.settings, permanent):
		return fmt.Errorf("%s cannot be undone within a run; go back to before it", f.text())
	default:
		f.duration = b.tick - f.due
		f.fault.For = time.Duration(f.duration) * b.c.Rig.Clock.Tick
	}
	return nil
}

// Button is whether one of the operator's buttons is on; see [Buttons]. One that does not exist
// is off.
func (b *Bench) Button(button string) bool {
	on := b.operator.button(button)
	return on != nil && *on
}

// SetButton sets one of the operator's buttons from now on; see [Buttons].
func (b *Bench) SetButton(button string, on bool) error {
	switch {
	case b.done:
		return errRunOver()
	case new(operator).button(button) == nil:
		return fmt.Errorf("the operator cannot set %q%s", button, suggestion(button, Buttons()))
	}
	b.buttonsSet = append(b.buttonsSet, Action{At: b.now(), Set: map[string]bool{button: on}})
	b.script = append(slices.Clip(b.script), buttonEdge{b.tick, button, on})
	sortByTick(b.script)
	return nil
}

// PlayedScenario is the scenario as it was played so far: with the faults that were injected
// or removed and the buttons that were set on the way. Run from its start, it gives the same
// run.
func (b *Bench) PlayedScenario() Scenario {
	return b.playedWith(func(*scheduledFault) bool { return true })
}

// EffectiveScenario is the scenario as it was played, for a run that is over: without the
// faults whose moment never came, as a run with these is not as expected.
func (b *Bench) EffectiveScenario() Scenario {
	return b.playedWith(func(f *scheduledFault) bool { return f.active || f.over })
}

func (b *Bench) playedWith(wanted func(*scheduledFault) bool) Scenario {
	s := b.c.Scenario
	s.Faults = nil
	for _, f := range b.schedule {
		if wanted(f) {
			s.Faults = append(s.Faults, f.fault)
		}
	}
	if len(b.buttonsSet) > 0 {
		s.Script = slices.Concat(asWritten(s.Script), b.buttonsSet)
	}
	return s
}

// asWritten gives the script that a scenario without one stands for.
func asWritten(script []Action) []Action {
	if len(script) > 0 {
		return script
	}
	return []Action{{At: triggerAt, Set: map[string]bool{buttonTrigger: true}}}
}

// now is the time of the next tick.
func (b *Bench) now() time.Duration { return time.Duration(b.tick) * b.c.Rig.Clock.Tick }
