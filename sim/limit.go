package sim

import (
	"fmt"
	"time"

	"holdbench/plant/problem"
)

// latest is the latest moment that a scenario may name.
const latest = 24 * time.Hour

// RunLimit is when a run is over in any case: clock.run_limit, counted from the last moment that the scenario
// names where that is not within it.
func (c *Case) RunLimit() time.Duration {
	limit, last := c.Rig.Clock.RunLimit, time.Duration(0)
	for _, m := range c.moments() {
		last = max(last, m.at)
	}
	if last+settleTime > limit {
		limit += last
	}
	return limit
}

// planned is a time that a scenario names, and where.
type planned struct {
	path string
	at   time.Duration
}

// moments are those at which the operator does something, and the ends of it, and those of faults at a time.
func (c *Case) moments() []planned {
	var list []planned
	for i, a := range c.Scenario.Script {
		list = append(list, planned{fmt.Sprintf("script[%d].at", i), a.At}, planned{fmt.Sprintf("script[%d].for", i), later(a.At, a.For)})
	}
	for i, f := range c.Scenario.Faults {
		if f.At != nil {
			list = append(list, planned{fmt.Sprintf("faults[%d].at", i), *f.At})
		}
	}
	return list
}

// later is a moment some time after another, as far as there is one.
func later(at, lasts time.Duration) time.Duration {
	if at > latest || lasts > latest {
		return max(at, lasts)
	}
	return at + lasts
}

// checkMoments refuses moments that no run comes to.
func (c *Case) checkMoments() problem.List {
	var found problem.List
	for _, m := range c.moments() {
		if m.at > latest {
			found = append(found, problem.Problem{Path: m.path, Message: fmt.Sprintf("%s is %s into the run; must be at most %s", m.path, m.at, latest)})
		}
	}
	return found
}
