package sim

import (
	"errors"
	"fmt"
	"slices"
	"time"
)

// errRunOver refuses a change of a run that is over.
func errRunOver() error { return errors.New("the run has ended; go back in it and change it there") }

// Button is whether one of the operator's buttons is on; see [Buttons]. One that does not exist
// is off.
func (b *Bench) Button(button string) bool {
	on := b.operator.button(button)
	return on != nil && *on
}

// SetButton sets one of the operator's buttons from now on; see [Buttons].
func (b *Bench) SetButton(button string, on bool) error { return b.act(button, on, 0) }

// PressButton presses one of the operator's buttons and releases it after a time; see [Buttons].
func (b *Bench) PressButton(button string, held time.Duration) error {
	return b.act(button, true, held)
}

// act sets a button, and sets it back after a time unless that is 0.
func (b *Bench) act(button string, on bool, held time.Duration) error {
	switch {
	case b.done:
		return errRunOver()
	case new(operator).button(button) == nil:
		return fmt.Errorf("the operator cannot set %q%s", button, suggestion(button, Buttons()))
	}
	b.changed(func(again *Bench) error { return again.act(button, on, held) })
	b.buttonsSet = append(b.buttonsSet, Action{At: b.now(), For: held, Set: map[string]bool{button: on}})
	b.script = append(slices.Clip(b.script), buttonEdge{b.tick, button, on})
	if held > 0 {
		b.script = append(b.script, buttonEdge{ticksOf(b.now()+held, b.c.Rig.Clock.Tick), button, !on})
	}
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
