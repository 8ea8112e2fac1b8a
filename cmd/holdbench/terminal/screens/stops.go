package screens

import "holdbench/sim"

// stops are where a lesson holds its run.
type stops struct {
	on  bool                  // a lesson is on, or about to begin
	due func(*sim.Bench) bool // nil while there are none
	of  *sim.Case             // the run that they are for
}

// Stops sets where a lesson holds the run; nil is nowhere.
type Stops struct{ Stop func(*sim.Bench) bool }

func (s *stops) set(due func(*sim.Bench) bool) { s.on, s.due = due != nil, due }

// begin takes the stops of a lesson's run, unless the lesson was left meanwhile.
func (s *stops) begin(l loaded) {
	if l.stop != nil && s.on {
		s.due, s.of = l.stop, l.c
	}
}

// lessonStops tells after a tick whether a stop of the lesson is reached.
func lessonStops(c *sim.Case) func(*sim.Bench) bool {
	list := sim.NewStops(c.Scenario.Lesson, c.Rig.Clock.Tick)
	return func(run *sim.Bench) bool {
		_, due := run.AtStop(list)
		return due
	}
}
