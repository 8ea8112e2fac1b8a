package sim

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"holdbench/plant/problem"
)

// Lesson is what a trainer explains during a run: stops at the moments that matter, in their
// order.
type Lesson []Stop

// Stop is a moment at which a lesson holds the run: when, an explanation, and perhaps a
// question. Exactly one of At, When and Event says when.
type Stop struct {
	At      *time.Duration `yaml:"at,omitempty"`
	When    *Moment        `yaml:"when,omitempty"`
	Event   *EventMatch    `yaml:"event,omitempty"`
	Say     string         `yaml:"say"`
	Ask     string         `yaml:"ask,omitempty"`
	Choices []string       `yaml:"choices,omitempty"`
	Answer  int            `yaml:"answer,omitempty"` // number of the right choice, from 1
	Number  *NumberAsked   `yaml:"number,omitempty"` // in place of choices and answer
	Because string         `yaml:"because,omitempty"`
}

// EventMatch describes the event that a stop waits for, by its kind and by a part of its text,
// as a document can. Nothing of a run depends on it.
type EventMatch struct {
	Kind string `yaml:"kind"`
	Says string `yaml:"says,omitempty"` // empty: any event of the kind
}

// matches is whether an event is the one that the stop waits for.
func (s *EventMatch) matches(e *Event) bool {
	return e.Kind == s.Kind && strings.Contains(e.What, s.Says)
}

// The limits of a lesson: stops that fit on a page, and choices that can be compared.
const (
	MostStops     = 20
	FewestChoices = 2
	MostChoices   = 5
)

// checkLesson reports what is wrong with a lesson; states are those of the sequence, scope the names that
// its figures may use.
func checkLesson(l Lesson, states []string, scope nameScope) problem.List {
	if len(l) > MostStops {
		return problem.List{{Path: "lesson", Message: fmt.Sprintf("lesson has %d stops; must have at most %d", len(l), MostStops)}}
	}
	var found problem.List
	for i := range l {
		path := fmt.Sprintf("lesson[%d]", i)
		found = append(found, l[i].checkMoment(path, states)...)
		if strings.TrimSpace(l[i].Say) == "" {
			found = append(found, problem.Problem{Path: path + ".say", Message: "say is missing or empty; a stop must explain something"})
		}
		found = append(found, l[i].checkQuestion(path)...)
		found = append(found, l[i].checkFigures(path, scope)...)
		if n := l[i].Number; n != nil {
			found = append(found, n.check(path+".number", scope, i == len(l)-1)...)
		}
	}
	return found
}

func (s *Stop) checkMoment(path string, states []string) problem.List {
	moments := 0
	for _, given := range []bool{s.At != nil, s.When != nil, s.Event != nil} {
		if given {
			moments++
		}
	}
	switch {
	case moments != 1:
		return problem.List{{Path: path, Message: fmt.Sprintf("a stop needs one of at, when and event; it has %d of them", moments)}}
	case s.When != nil && s.When.State != "" && !slices.Contains(states, s.When.State):
		return problem.List{{Path: path + ".when.state", Message: fmt.Sprintf("there is no state %q in the sequence%s", s.When.State, suggestion(s.When.State, states))}}
	case s.Event != nil && !slices.Contains(EventKinds(), s.Event.Kind):
		return problem.List{{Path: path + ".event.kind", Message: fmt.Sprintf("there is no kind of event %q%s", s.Event.Kind, suggestion(s.Event.Kind, EventKinds()))}}
	}
	return nil
}

// checkQuestion requires a question with all its parts, or none of them.
func (s *Stop) checkQuestion(path string) problem.List {
	ask, because := strings.TrimSpace(s.Ask) != "", strings.TrimSpace(s.Because) != ""
	if !ask && !because && len(s.Choices) == 0 && s.Answer == 0 && s.Number == nil {
		return nil
	}
	var found problem.List
	wrong := func(key, format string, values ...any) {
		found = append(found, problem.Problem{Path: path + "." + key, Message: fmt.Sprintf(format, values...)})
	}
	if !ask {
		wrong("ask", "ask is missing; choices, number, answer and because need a question")
	}
	if s.Number == nil {
		found = append(found, s.checkChoices(path+".choices")...)
	}
	switch n := len(s.Choices); {
	case s.Number != nil && (n > 0 || s.Answer != 0):
		wrong("number", "a question has a number and choices; must have one of them")
	case s.Number != nil:
	case s.Answer == 0:
		wrong("answer", "answer is missing or 0; must be the number of the right choice, from 1")
	case n > 0 && (s.Answer < 1 || s.Answer > n):
		wrong("answer", "answer is %d; must be the number of the right choice, from 1 to %d", s.Answer, n)
	}
	if !because {
		wrong("because", "because is missing; an answer needs its reason")
	}
	return found
}

func (s *Stop) checkChoices(path string) problem.List {
	if n := len(s.Choices); n < FewestChoices || n > MostChoices {
		return problem.List{{Path: path, Message: fmt.Sprintf("a question has %d choices; must have %d to %d", n, FewestChoices, MostChoices)}}
	}
	var found problem.List
	seen := map[string]bool{}
	for i, choice := range s.Choices {
		choice = strings.TrimSpace(choice)
		switch place := fmt.Sprintf("%s[%d]", path, i); {
		case choice == "":
			found = append(found, problem.Problem{Path: place, Message: "a choice is empty; must be a text"})
		case seen[choice]:
			found = append(found, problem.Problem{Path: place, Message: fmt.Sprintf("choice %q is listed twice; must be listed once", choice)})
		}
		seen[choice] = true
	}
	return found
}

// Stops finds out which stop of a lesson a run has reached. It belongs to one run and one
// goroutine.
//
// Stops come in the order of the lesson, each once. One whose moment passes before the stop
// ahead of it was reached comes right after that one. A state counts from its first entry, as
// with faults, and an event is for one stop: two stops that wait for the same words wait for
// two events. A stop comes ahead of the effect of a fault at the same moment.
type Stops struct {
	lesson Lesson
	tick   time.Duration
	states []stopState
	next   int    // first stop not reached
	seen   int    // events looked at
	state  string // looked at last

	reachedS, sinceS float64 // time of the newest stop that was reached, and since the one before it
}

// stopState is what is known about the moment of one stop.
type stopState struct {
	due  int64 // tick, -1 until it is known
	came bool  // its event came
}

// NewStops makes the stops of a lesson without problems, at the beginning of a run with this
// tick.
func NewStops(l Lesson, tick time.Duration) *Stops {
	s := &Stops{lesson: l, tick: tick, states: make([]stopState, len(l))}
	for i := range l {
		s.states[i].due = -1
		switch stop := &l[i]; {
		case stop.At != nil:
			s.states[i].due = ticksOf(*stop.At, tick)
		case stop.When != nil && stop.When.State == "":
			s.states[i].due = ticksOf(stop.When.After, tick)
		}
	}
	return s
}

// Due is whether a stop is reached, and which, counted from 0. nowS is the time of the run in
// s, state the present state and inStateS its duration in s, events are those of the run so
// far, of recorded ones those that are not left out. Call it after every tick; it allocates nothing. If more than one stop is due, each
// call gives one.
func (s *Stops) Due(nowS float64, state string, inStateS float64, events []Event, recorded int) (index int, due bool) {
	if s.next == len(s.lesson) {
		return 0, false
	}
	for i := max(0, len(events)-(recorded-s.seen)); i < len(events); i++ {
		s.observe(&events[i])
	}
	s.seen = recorded
	if state != s.state {
		s.state = state
		s.enter(state, nowS-inStateS)
	}
	w := &s.states[s.next]
	if !w.came && (w.due < 0 || s.ticks(nowS) < w.due) {
		return 0, false
	}
	s.next++
	s.sinceS, s.reachedS = nowS-s.reachedS, nowS
	return s.next - 1, true
}

// Clone is a copy that goes on by itself, for a branch of a run.
func (s *Stops) Clone() *Stops {
	c := *s
	c.states = slices.Clone(s.states)
	return &c
}

// observe takes an event, once: it may enter a state, and it may be the one that a stop waits
// for.
func (s *Stops) observe(e *Event) {
	if e.EntersState() {
		s.enter(e.Snapshot.State, e.TS)
	}
	for i := s.next; i < len(s.lesson); i++ {
		sign := s.lesson[i].Event
		if sign != nil && !s.states[i].came && sign.matches(e) {
			s.states[i].came = true
			return
		}
	}
}

// enter sets the moments of stops that wait for a state, at its first entry.
func (s *Stops) enter(state string, atS float64) {
	for i := s.next; i < len(s.lesson); i++ {
		if m := s.lesson[i].When; m != nil && m.State == state && s.states[i].due < 0 {
			s.states[i].due = s.ticks(atS) + ticksOf(m.After, s.tick)
		}
	}
}

// ticks is a time as a number of ticks. Times of a run are whole ticks, except for the
// rounding of floats.
func (s *Stops) ticks(atS float64) int64 { return int64(math.Round(atS / s.tick.Seconds())) }
