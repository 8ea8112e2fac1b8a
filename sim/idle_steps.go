package sim

import (
	"fmt"
	"slices"
	"time"

	"holdbench/plant/problem"
)

// press is a change of one button by a step of the script, at one of its moments.
type press struct {
	path string
	at   time.Duration
	on   bool
}

// IdleSteps are steps of the script that leave a button as it is. The last one of the script may do so: a run goes on
// until it, which is use enough.
func (c *Case) IdleSteps() problem.List {
	var found problem.List
	last := c.lastStep()
	for _, button := range Buttons() {
		if slices.ContainsFunc(c.Scenario.Faults, func(f Fault) bool { return hasKey(f.Set, operatorPrefix+button) }) {
			continue // where the button is depends on the fault
		}
		on, since := false, time.Duration(0)
		for _, p := range c.presses(button) {
			if p.on != on {
				on, since = p.on, p.at
				continue
			}
			if p.at < last {
				found.Warn(p.path, "at %s %s is %s already, %s: the step changes nothing", shortDuration(p.at), button, onOff(on, "on", "off"), sinceText(since))
			}
		}
	}
	return found
}

func sinceText(since time.Duration) string {
	if since == 0 {
		return "from the start"
	}
	return "since " + shortDuration(since)
}

// presses are what the script does to a button, in the order of time.
func (c *Case) presses(button string) []press {
	var list []press
	for i, a := range c.Scenario.Script {
		on, ok := a.Set[button]
		if !ok {
			continue
		}
		list = append(list, press{fmt.Sprintf("script[%d].set%s", i, quoted(button)), a.At, on})
		if a.For > 0 {
			list = append(list, press{fmt.Sprintf("script[%d].for", i), later(a.At, a.For), !on})
		}
	}
	slices.SortStableFunc(list, func(p, q press) int { return int(ticksOf(p.at, c.Rig.Clock.Tick) - ticksOf(q.at, c.Rig.Clock.Tick)) })
	return list
}

// lastStep is the moment of the last thing that the operator does.
func (c *Case) lastStep() time.Duration {
	last := time.Duration(0)
	for _, a := range c.Scenario.Script {
		last = max(last, later(a.At, a.For))
	}
	return last
}
