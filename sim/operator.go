package sim

import (
	"fmt"
	"strconv"
	"time"

	"holdbench/plant/problem"
)

// operator is the state of the buttons.
type operator struct {
	trigger, cancel, estop, reset, acknowledge, powerLoss bool
	access, guardOpen, setupMode                          bool
}

// The operator's buttons.
const (
	buttonTrigger = "trigger"
	buttonCancel  = "cancel"
	buttonEstop   = "estop"
	buttonReset   = "reset"

	buttonAcknowledge = "acknowledge"
	buttonAccess      = "access"
	buttonGuardOpen   = "guard_open"
	buttonSetupMode   = "setup_mode"

	buttonPowerLoss = "power_loss"
)

// button finds the input that an action sets, nil if there is none of that name.
func (o *operator) button(name string) *bool {
	switch name {
	case buttonTrigger:
		return &o.trigger
	case buttonCancel:
		return &o.cancel
	case buttonEstop:
		return &o.estop
	case buttonReset:
		return &o.reset
	case buttonAcknowledge:
		return &o.acknowledge
	case buttonAccess:
		return &o.access
	case buttonGuardOpen:
		return &o.guardOpen
	case buttonSetupMode:
		return &o.setupMode
	case buttonPowerLoss:
		return &o.powerLoss
	}
	return nil
}

// Buttons lists what the operator can set. While power_loss is on, drive and controllers
// have no power and the brake closes; when it goes off, the sequence starts anew.
func Buttons() []string {
	return []string{
		buttonTrigger, buttonCancel, buttonEstop, buttonReset, buttonAcknowledge,
		buttonAccess, buttonGuardOpen, buttonSetupMode, buttonPowerLoss,
	}
}

// operatorPrefix stands before the name of a button that a fault presses.
const operatorPrefix = "operator."

// buttonNote says what a button is, for lists.
func buttonNote(button string) string {
	switch button {
	case buttonTrigger:
		return "the button that starts a test"
	case buttonCancel:
		return "the button that aborts a test"
	case buttonEstop:
		return "the emergency stop"
	case buttonReset:
		return "the button whose release resets a stop of the safety side"
	case buttonAcknowledge:
		return "the button whose release acknowledges a failure of the judge"
	case buttonAccess:
		return "a person asks to have the guard unlocked"
	case buttonGuardOpen:
		return "a person opens the guard, as soon as it is unlocked"
	case buttonSetupMode:
		return "the mode switch is at setup"
	}
	return "drive and controllers have no power; when it returns the sequence starts anew"
}

// buttonEdge is a change of one button.
type buttonEdge struct {
	tick   int64
	button string
	on     bool
}

// triggerAt is when a scenario without a script starts its test.
const triggerAt = 500 * time.Millisecond

// scriptEdges turns the operator's actions into edges in the order of time.
func scriptEdges(s *Scenario, tick time.Duration) ([]buttonEdge, problem.List) {
	if len(s.Script) == 0 {
		return []buttonEdge{{ticksOf(triggerAt, tick), buttonTrigger, true}}, nil
	}
	var edges []buttonEdge
	var found problem.List
	for i, a := range s.Script {
		for _, name := range sortedKeys(a.Set) {
			if new(operator).button(name) == nil {
				found = append(found, problem.Problem{Path: fmt.Sprintf("script[%d].set%s", i, quoted(name)), Message: fmt.Sprintf("the operator cannot set %q%s", name, suggestion(name, Buttons()))})
				continue
			}
			edges = append(edges, buttonEdge{ticksOf(a.At, tick), name, a.Set[name]})
			if a.For > 0 {
				edges = append(edges, buttonEdge{ticksOf(a.At+a.For, tick), name, !a.Set[name]})
			}
		}
	}
	sortByTick(edges)
	return edges, found
}

// applyScript presses and releases the buttons that are due.
func (b *Bench) applyScript() {
	for len(b.script) > 0 && b.script[0].tick <= b.tick {
		p := b.script[0]
		b.script = b.script[1:]
		b.setButton(p.button, p.on)
		if _, faulted := b.active.base[operatorPrefix+p.button]; faulted {
			b.active.base[operatorPrefix+p.button] = strconv.FormatBool(p.on) // to which a fault that ends returns it
		}
	}
}

// setButton sets one button.
func (b *Bench) setButton(button string, on bool) {
	was := b.operator.powerLoss
	*b.operator.button(button) = on
	b.waitOn()
	if on && button != buttonTrigger {
		b.disturbed = true
	}
	b.recordOf(onOff(on, EventButtonOn, EventButtonOff), button+onOff(on, " on", " off"), button, "")
	switch {
	case b.operator.powerLoss && !was:
		b.powerDown()
	case was && !b.operator.powerLoss:
		b.powerUp()
	}
}

// onOff chooses between two.
func onOff[T any](on bool, whenOn, whenOff T) T {
	if on {
		return whenOn
	}
	return whenOff
}
