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
	asked  int64                 // moment of the question that is open, in ticks; 0 for none
	early  bool                  // something was asked for that comes after it
}

// Stops sets where a lesson holds the run; nil is nowhere.
type Stops struct{ Stop func(*sim.Bench) bool }

func (s *stops) set(due func(*sim.Bench) bool) { s.on, s.due = due != nil, due }

// questionAsked tells that a question of the lesson is open, and at which moment of its run, in ticks.
type questionAsked struct{ Ticks int64 }

// answerFirst tells the lesson that a key was ignored: it would show what comes after the open question, and with it
// the answer.
type answerFirst struct{}

// untilAnswer is the last moment of the run that may be shown before the open question is answered; false for all.
func (b *Bench) untilAnswer() (ticks int64, bounded bool) {
	return b.lesson.asked, b.lesson.asked > 0 && b.Case() == b.lesson.of
}

// tellEarly tells the lesson of what was asked for too early; its panel covers the notices of the bench.
func (b *Bench) tellEarly() tea.Cmd {
	if !b.lesson.early {
		return nil
	}
	b.lesson.early = false
	return Send(answerFirst{})
}

// showMoment asks the bench for a moment of its run, in ticks.
type showMoment struct{ Ticks int64 }

// toRunsEnd asks the bench to go to the end of its run.
type toRunsEnd struct{}

// onMoment goes where a lesson asks for, or stays before what it asks.
func (b *Bench) onMoment(msg tea.Msg) tea.Cmd {
	if asked, ok := msg.(questionAsked); ok {
		b.lesson.asked = asked.Ticks
		return nil
	}
	b.lesson.asked = 0 // it was answered, or the lesson would not go on
	if at, ok := msg.(showMoment); ok {
		b.goTo(at.Ticks)
		return nil
	}
	return b.toEnd()
}

// onRevealed shows the truth, and frees the run from the question that was answered: messages of commands overtake
// one another, and the next question may be open already.
func (b *Bench) onRevealed(msg truthRevealed) {
	b.veiled = false
	if msg.Ticks == b.lesson.asked || msg.Ticks == 0 {
		b.lesson.asked = 0
	}
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
