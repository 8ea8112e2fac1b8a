package sim

import (
	"fmt"
	"time"
)

// operator is the state of the buttons.
type operator struct {
	trigger, cancel, estop bool
}

// button finds the input that an action sets, nil if there is none of that name.
func (o *operator) button(name string) *bool {
	switch name {
	case "trigger":
		return &o.trigger
	case "cancel":
		return &o.cancel
	case "estop":
		return &o.estop
	}
	return nil
}

func buttons() []string { return []string{"trigger", "cancel", "estop"} }

// press is one edge of one button.
type press struct {
	tick   int64
	button string
	on     bool
}

// triggerAt is when a scenario without a script starts its test.
const triggerAt = 500 * time.Millisecond

// prepareScript resolves the operator's actions into edges in the order of time.
func prepareScript(s *Scenario, tick time.Duration) ([]press, []Problem) {
	if len(s.Script) == 0 {
		return []press{{ticksOf(triggerAt, tick), "trigger", true}}, nil
	}
	var edges []press
	var found []Problem
	for i, a := range s.Script {
		for _, name := range sortedKeys(a.Set) {
			if new(operator).button(name) == nil {
				found = append(found, Problem{Path: fmt.Sprintf("script[%d].set%s", i, quoted(name)), Message: fmt.Sprintf("%q is nothing that the operator can set%s", name, suggest(name, buttons()))})
				continue
			}
			edges = append(edges, press{ticksOf(a.At, tick), name, a.Set[name]})
			if a.For > 0 {
				edges = append(edges, press{ticksOf(a.At+a.For, tick), name, !a.Set[name]})
			}
		}
	}
	sortByTick(edges)
	return edges, found
}

// operate presses and releases the buttons that are due.
func (b *Bench) operate() {
	for len(b.script) > 0 && b.script[0].tick <= b.tick {
		p := b.script[0]
		b.script = b.script[1:]
		*b.operator.button(p.button) = p.on
		if p.on && p.button != "trigger" {
			b.disturbed = true
		}
		b.note(eventOperator, p.button+onOff(p.on))
	}
}

func onOff(on bool) string {
	if on {
		return " on"
	}
	return " off"
}
