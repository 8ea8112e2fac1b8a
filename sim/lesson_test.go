package sim

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/plant/problem"
)

const (
	lessonTick = 250 * time.Microsecond
	lessonTS   = 0.00025
)

func at1(d time.Duration) *time.Duration { return &d }

// question is a stop with all that a question needs.
func question() Stop {
	return Stop{
		At: at1(time.Second), Say: "Look.", Ask: "What comes?",
		Choices: []string{"this", "that"}, Answer: 2, Because: "It does.",
	}
}

func with(change func(s *Stop)) Stop {
	s := question()
	change(&s)
	return s
}

func TestCheckLesson(t *testing.T) {
	states := []string{"ready", "press_down"}
	for _, c := range []struct {
		name string
		stop Stop
		want problem.List
	}{
		{"Question", question(), nil},
		{"NoQuestion", Stop{When: moment("press_down", 0), Say: "Look."}, nil},
		{"Start", Stop{When: moment("", 0), Say: "Look."}, nil},
		{"EventOfAKind", Stop{Event: &EventMatch{Kind: KindTruth}, Say: "Look."}, nil},
		{"NoMoment", Stop{Say: "Look."}, problem.List{
			{Path: "lesson[0]", Message: "a stop needs one of at, when and event; it has 0 of them"},
		}},
		{"TwoMoments", with(func(s *Stop) { s.When = moment("ready", 0) }), problem.List{
			{Path: "lesson[0]", Message: "a stop needs one of at, when and event; it has 2 of them"},
		}},
		{"State", Stop{When: moment("pres_down", 0), Say: "Look."}, problem.List{
			{Path: "lesson[0].when.state", Message: `there is no state "pres_down" in the sequence; the nearest valid one is "press_down"`},
		}},
		{"Event", Stop{Event: &EventMatch{Kind: "jugde"}, Say: "Look."}, problem.List{
			{Path: "lesson[0].event.kind", Message: `there is no kind of event "jugde"; the nearest valid one is "judge"`},
		}},
		{"Say", Stop{At: at1(0), Say: " \n"}, []problem.Problem{
			{Path: "lesson[0].say", Message: "say is missing or empty; a stop must explain something"},
		}},
		{"AnswerTooHigh", with(func(s *Stop) { s.Answer = 3 }), []problem.Problem{
			{Path: "lesson[0].answer", Message: "answer is 3; must be the number of the right choice, from 1 to 2"},
		}},
		{"AnswerNegative", with(func(s *Stop) { s.Answer = -1 }), []problem.Problem{
			{Path: "lesson[0].answer", Message: "answer is -1; must be the number of the right choice, from 1 to 2"},
		}},
		{"OneChoice", with(func(s *Stop) { s.Choices, s.Answer = s.Choices[:1], 1 }), problem.List{
			{Path: "lesson[0].choices", Message: "a question has 1 choices; must have 2 to 5"},
		}},
		{"SixChoices", with(func(s *Stop) { s.Choices = []string{"a", "b", "c", "d", "e", "f"} }), problem.List{
			{Path: "lesson[0].choices", Message: "a question has 6 choices; must have 2 to 5"},
		}},
		{"ChoicesTwiceAndEmpty", with(func(s *Stop) { s.Choices = []string{"a", "b", "a ", " "} }), []problem.Problem{
			{Path: "lesson[0].choices[2]", Message: `choice "a" is listed twice; must be listed once`},
			{Path: "lesson[0].choices[3]", Message: "a choice is empty; must be a text"},
		}},
		{"AskAlone", Stop{At: at1(0), Say: "Look.", Ask: "What comes?"}, problem.List{
			{Path: "lesson[0].choices", Message: "a question has 0 choices; must have 2 to 5"},
			{Path: "lesson[0].answer", Message: "answer is missing or 0; must be the number of the right choice, from 1"},
			{Path: "lesson[0].because", Message: "because is missing; an answer needs its reason"},
		}},
		{"BecauseAlone", Stop{At: at1(0), Say: "Look.", Because: "It does."}, problem.List{
			{Path: "lesson[0].ask", Message: "ask is missing; choices, number, answer and because need a question"},
			{Path: "lesson[0].choices", Message: "a question has 0 choices; must have 2 to 5"},
			{Path: "lesson[0].answer", Message: "answer is missing or 0; must be the number of the right choice, from 1"},
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			require.Equal(t, c.want, checkLesson(Lesson{c.stop}, states, listedNames{"torque_nm", "t_s"}))
		})
	}
}

func TestCheckLessonBoundsTheStops(t *testing.T) {
	l := make(Lesson, MostStops)
	for i := range l {
		l[i] = question()
	}
	require.Empty(t, checkLesson(l, nil, nil))
	require.Equal(t, problem.List{{Path: "lesson", Message: "lesson has 21 stops; must have at most 20"}}, checkLesson(append(l, question()), nil, nil))
}

// entry is the event of a state that is entered in a tick.
func entry(tick int64, state string) Event {
	return Event{TS: float64(tick) * lessonTS, Kind: KindState, Type: EventStateEntered, What: "before → " + state, Snapshot: Snapshot{State: state}}
}

func said(tick int64, what string) Event {
	return Event{TS: float64(tick) * lessonTS, Kind: KindJudge, What: what}
}

// stage plays events to stops, tick after tick, and takes down after how many ticks
// which stop came.
type stage struct {
	stops  *Stops
	events []Event
	played []string
}

func (p *stage) play(from, to int64) []string {
	state, since, happened := "ready", int64(0), 0
	for tick := from; tick <= to; tick++ {
		for ; happened < len(p.events) && p.events[happened].TS < float64(tick)*lessonTS-lessonTS/2; happened++ {
			if e := p.events[happened]; e.Kind == KindState {
				state, since = e.Snapshot.State, int64(e.TS/lessonTS+0.5)
			}
		}
		if i, due := p.stops.Due(float64(tick)*lessonTS, state, float64(tick-since)*lessonTS, p.events[:happened], happened); due {
			p.played = append(p.played, fmt.Sprintf("%d: %d", tick, i))
		}
	}
	return p.played
}

func TestStopsComeAtTheirMoments(t *testing.T) {
	for _, c := range []struct {
		name   string
		lesson Lesson
		want   []string
	}{
		{"NoLesson", nil, nil},
		{"Start", Lesson{{When: moment("", 0)}, {When: moment("", lessonTick)}}, []string{"0: 0", "1: 1"}},
		{"At", Lesson{{At: at1(10 * time.Millisecond)}}, []string{"40: 0"}},
		{"AtBetweenTicks", Lesson{{At: at1(10*time.Millisecond + 1)}}, []string{"41: 0"}},
		{"FirstState", Lesson{{When: moment("ready", 2*lessonTick)}}, []string{"2: 0"}},
		// An event of tick 20 is there once the tick is over.
		{"StateAtOnce", Lesson{{When: moment("press", 0)}}, []string{"21: 0"}},
		{"StateLater", Lesson{{When: moment("press", time.Millisecond)}}, []string{"24: 0"}},
		{"StateLeftMeanwhile", Lesson{{When: moment("press", 10*time.Millisecond)}}, []string{"60: 0"}},
		{"StateFirstEntry", Lesson{{At: at1(12 * time.Millisecond)}, {When: moment("press", time.Millisecond)}}, []string{"48: 0", "49: 1"}},
		{"Event", Lesson{{Event: &EventMatch{Kind: KindJudge, Says: "proven"}}}, []string{"26: 0"}},
		{"EventOfAKind", Lesson{{Event: &EventMatch{Kind: KindJudge}}}, []string{"23: 0"}},
		{"EventsOneAStop", Lesson{{Event: &EventMatch{Kind: KindJudge, Says: "proven"}}, {Event: &EventMatch{Kind: KindJudge, Says: "proven"}}}, []string{"26: 0", "51: 1"}},
		{"EventOfAnotherKind", Lesson{{Event: &EventMatch{Kind: KindDrive, Says: "proven"}}}, nil},
		{"InTheOrderOfTheLesson", Lesson{
			{At: at1(15 * time.Millisecond)}, {Event: &EventMatch{Kind: KindJudge, Says: "asked"}},
			{When: moment("press", 0)}, {At: at1(time.Millisecond)}, {When: moment("back", 0)},
		}, []string{"60: 0", "61: 1", "62: 2", "63: 3", "64: 4"}},
		{"NothingOvertakesWhatNeverComes", Lesson{{When: moment("nowhere", 0)}, {At: at1(0)}}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := stage{stops: NewStops(c.lesson, lessonTick), events: []Event{
				entry(20, "press"), said(22, "asked"), said(25, "proven for 8h"), entry(30, "back"), entry(40, "press"), said(50, "proven for 8h"),
			}}
			require.Equal(t, c.want, p.play(0, 100))
		})
	}
}

// Whoever goes back in a run sees the stops behind that moment again.
func TestStopsCloneGoesOnByItself(t *testing.T) {
	l := Lesson{{When: moment("press", 0)}, {Event: &EventMatch{Kind: KindJudge, Says: "asked"}}, {At: at1(10 * time.Millisecond)}}
	events := []Event{entry(20, "press"), said(30, "asked")}
	first := stage{stops: NewStops(l, lessonTick), events: events}
	require.Equal(t, []string{"21: 0"}, first.play(0, 25))
	again := stage{stops: first.stops.Clone(), events: events}
	want := []string{"31: 1", "40: 2"}
	require.Equal(t, want, first.play(26, 50)[1:])
	require.Equal(t, want, again.play(26, 50))
}

func TestStopsAllocateNothing(t *testing.T) {
	s := NewStops(Lesson{{At: at1(time.Hour)}, {When: moment("back", 0)}, {Event: &EventMatch{Kind: KindJudge, Says: "proven"}}}, lessonTick)
	events := []Event{entry(20, "press"), said(22, "asked"), entry(30, "back")}
	tick := 0
	require.Zero(t, testing.AllocsPerRun(100, func() {
		tick++
		s.Due(float64(tick)*lessonTS, "press", 0, events, len(events))
	}))
}

// Whatever the lesson and the run: stops come in order, each once, none before its
// moment, and a stop that has its moment comes at the latest with those ahead of it.
func TestStopsComeInOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		states := rapid.SampledFrom([]string{"ready", "press", "back"})
		words := rapid.SampledFrom([]string{"asked", "proven", "failed"})
		var l Lesson
		for range rapid.IntRange(0, 6).Draw(t, "stops") {
			after := time.Duration(rapid.IntRange(0, 60).Draw(t, "after")) * lessonTick
			switch rapid.IntRange(0, 2).Draw(t, "how") {
			case 0:
				l = append(l, Stop{At: &after})
			case 1:
				l = append(l, Stop{When: moment(states.Draw(t, "state"), after)})
			default:
				l = append(l, Stop{Event: &EventMatch{Kind: KindJudge, Says: words.Draw(t, "says")}})
			}
		}
		p := stage{stops: NewStops(l, lessonTick)}
		for tick := range int64(60) {
			switch rapid.IntRange(0, 9).Draw(t, "what") {
			case 0:
				p.events = append(p.events, entry(tick, states.Draw(t, "to")))
			case 1:
				p.events = append(p.events, said(tick, words.Draw(t, "word")))
			}
		}
		var last int64 = -1
		for i, line := range p.play(0, 200) {
			var tick int64
			var index int
			_, err := fmt.Sscanf(line, "%d: %d", &tick, &index)
			require.NoError(t, err)
			require.Equal(t, i, index)
			require.Greater(t, tick, last)
			last = tick
			if at := l[i].At; at != nil {
				require.GreaterOrEqual(t, time.Duration(tick)*lessonTick, *at)
			}
		}
		if n := len(p.played); n < len(l) {
			require.Nil(t, l[n].At, "a time always comes once the stops ahead of it have")
		}
	})
}
