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
	step int // in the script
	at   time.Duration
	on   bool

	ends  bool          // it is the end of the step's time
	idle  bool          // the button is so already
	since time.Duration // at which time it came to be so
}

// IdleSteps are steps of the script that leave a button as it is, at their beginning and at the end of their time, and
// ends that come once the button is so by another step. The last one of the script may do so: a run goes on until it,
// which is use enough.
func (c *Case) IdleSteps() problem.List {
	var found problem.List
	last := c.lastStep()
	for _, button := range Buttons() {
		if slices.ContainsFunc(c.Scenario.Faults, func(f Fault) bool { return hasKey(f.Set, operatorPrefix+button) }) {
			continue // where the button is depends on the fault
		}
		list := c.presses(button)
		for _, p := range list {
			idleStep(&found, button, p, otherEnd(list, p), last)
		}
	}
	return found
}

// idleStep warns of a press that changes nothing, once a step; other is the second one of its step, nil if that has
// one.
func idleStep(found *problem.List, button string, p press, other *press, last time.Duration) {
	switch {
	case !p.idle || p.at >= last:
	case other == nil:
		found.Warn(p.path, "at %s %s is %s; the step does not change it", problem.Time(p.at), button, p.already())
	case p.ends && !other.idle:
		found.Warn(p.path, "at %s %s is %s; the end of the step does not change it", problem.Time(p.at), button, p.already())
	case !p.ends && other.idle && other.at < last:
		found.Warn(p.path, "at %s %s is %s, and at %s it is %s; the step does not change it", problem.Time(p.at), button, p.already(), problem.Time(other.at), other.already())
	}
}

// otherEnd is the other press of the same step, nil if there is none.
func otherEnd(list []press, p press) *press {
	i := slices.IndexFunc(list, func(q press) bool { return q.step == p.step && q.ends != p.ends })
	if i < 0 {
		return nil
	}
	return &list[i]
}

// already is how the button is, and since when.
func (p *press) already() string {
	return onOff(p.on, "on", "off") + " already, " + sinceText(p.since)
}

func sinceText(since time.Duration) string {
	if since == 0 {
		return "from the start"
	}
	return "since " + problem.Time(since)
}

// presses are what the script does to a button, in the order of time, and which of them leave it as it is.
func (c *Case) presses(button string) []press {
	var list []press
	for i, a := range c.Scenario.Script {
		on, ok := a.Set[button]
		if !ok {
			continue
		}
		list = append(list, press{path: fmt.Sprintf("script[%d].set%s", i, quoted(button)), step: i, at: a.At, on: on})
		if a.For > 0 {
			list = append(list, press{path: fmt.Sprintf("script[%d].for", i), step: i, at: later(a.At, a.For), on: !on, ends: true})
		}
	}
	slices.SortStableFunc(list, func(p, q press) int { return int(ticksOf(p.at, c.Rig.Clock.Tick) - ticksOf(q.at, c.Rig.Clock.Tick)) })
	on, since := false, time.Duration(0)
	for i := range list {
		if p := &list[i]; p.on == on {
			p.idle, p.since = true, since
		} else {
			on, since = p.on, p.at
		}
	}
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
