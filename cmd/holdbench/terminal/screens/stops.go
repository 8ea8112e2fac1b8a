package screens

import (
	"sync"

	tea "github.com/charmbracelet/bubbletea"

	"holdbench/sim"
)

// stops are where a lesson holds its run.
type stops struct {
	on     bool                  // a lesson is on, or about to begin
	coming bool                  // its run is not on the bench yet
	due    func(*sim.Bench) bool // nil while there are none
	of     *sim.Case             // the run that they are for
	shown  *shownStops           // that the run came to
}

// Stops sets where a lesson holds the run; nil is nowhere.
type Stops struct{ Stop func(*sim.Bench) bool }

func (s *stops) set(due func(*sim.Bench) bool) { s.on, s.due = due != nil, due }

// showMoment asks the bench for a moment of its run, in ticks.
type showMoment struct{ Ticks int64 }

// toRunsEnd asks the bench to go to the end of its run.
type toRunsEnd struct{}

// onMoment goes where a lesson asks for.
func (b *Bench) onMoment(msg tea.Msg) tea.Cmd {
	if at, ok := msg.(showMoment); ok {
		b.goTo(at.Ticks)
		return nil
	}
	return b.toEnd()
}

// begin takes the stops of a lesson's run, unless the lesson was left meanwhile.
func (s *stops) begin(l loaded) {
	s.coming = s.coming && l.stop == nil
	if l.stop != nil && s.on {
		s.due, s.of, s.shown = l.stop.due, l.c, l.stop
	}
}

// shownStops are the stops of a lesson that a run has come to, with their figures. A job of the run adds to
// them, and the bench takes from them.
type shownStops struct {
	lesson *sim.Stops
	mu     sync.Mutex
	list   []sim.ShownStop
}

func newShownStops(c *sim.Case) *shownStops {
	return &shownStops{lesson: sim.NewStops(c.Scenario.Lesson, c.Rig.Clock.Tick)}
}

// due tells after a tick whether a stop of the lesson is reached, and notes its figures.
func (s *shownStops) due(run *sim.Bench) bool {
	index, due := run.AtStop(s.lesson)
	if due {
		s.mu.Lock()
		defer s.mu.Unlock()
		s.list = append(s.list, run.Shown(s.lesson, index))
	}
	return due
}

// take is the oldest stop that was not taken yet.
func (s *shownStops) take() (stop sim.ShownStop, ok bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(s.list) == 0 {
		return stop, false
	}
	stop, s.list = s.list[0], s.list[1:]
	return stop, true
}
