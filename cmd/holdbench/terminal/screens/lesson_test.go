package screens

import (
	"bytes"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/caution"
	"holdbench/cmd/holdbench/terminal/player"
	"holdbench/scenarios"
	"holdbench/sim"
)

// withLessons are the built-in scenarios whose document has a lesson, whether it can be loaded or
// not.
func withLessons(t *testing.T) []string {
	t.Helper()
	var list []string
	for _, name := range scenarios.Names(scenarios.ScenarioKind) {
		_, text, err := scenarios.Text(scenarios.ScenarioKind, name)
		require.NoError(t, err)
		if bytes.Contains(text, []byte("\nlesson:")) {
			list = append(list, name)
		}
	}
	require.NotEmpty(t, list)
	return list
}

// some is the whole list, and its first few where tests shall be short.
func some[E any](list []E) []E {
	if testing.Short() {
		return list[:min(3, len(list))]
	}
	return list
}

// deskWithLesson opens the lesson of a scenario over the bench.
func deskWithLesson(t *testing.T, scenario string, w, h int) (*desk, *lessonScreen) {
	t.Helper()
	d := newDesk(t, scenario)
	d.size = tea.WindowSizeMsg{Width: w, Height: h}
	d.send(d.size)
	d.press("n")
	l, ok := d.top().(*lessonScreen)
	require.True(t, ok)
	return d, l
}

// joined is what a panel says in one line: its frame and its line breaks are left out.
func joined(screen string) string {
	return strings.Join(strings.FieldsFunc(screen, func(r rune) bool { return strings.ContainsRune(" ~│─┌┐└┘\n", r) }), " ")
}

// stopTicks runs a case by itself and lists after how many ticks its lesson holds.
func stopTicks(c *sim.Case) []int64 {
	var list []int64
	stops := sim.NewStops(c.Scenario.Lesson, c.Rig.Clock.Tick)
	b := sim.NewBench(c, nil)
	b.Tick() // the bench shows the first tick before the lesson begins
	for !b.Done() {
		b.Tick()
		if _, due := b.AtStop(stops); due {
			list = append(list, b.Ticks())
		}
	}
	return list
}

// Every lesson opens with the caution. It can be read on the smallest screen, by reading on
// if it has to be, and there is no more to read than that.
func TestLessonOpensWithTheCaution(t *testing.T) {
	t.Parallel()
	for _, name := range withLessons(t) {
		d, l := deskWithLesson(t, name, 80, 24)
		assert.Equal(t, lessonOpens, l.part)
		assert.NotEqual(t, player.Playing, d.bench.player.State())
		at := strings.Index(joined(read(d, l)), "! "+caution.Whole)
		assert.GreaterOrEqual(t, at, 0, name)
		for _, size := range goldenSizes[1:] {
			l.Update(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
			assert.Contains(t, joined(text(l, size[0], size[1])), "! "+caution.Whole, "%s at %v", name, size)
		}
	}
}

// read is the text of a lesson, read on row by row to its end.
func read(d *desk, l *lessonScreen) string {
	inside := func() []string {
		lines := strings.Split(d.textOf(l), "\n")
		return lines[1 : len(lines)-1]
	}
	rows := inside()
	for last := -1; last != l.scroll; {
		last = l.scroll
		d.press("ctrl+down")
		if l.scroll != last {
			now := inside()
			rows = append(rows, now[len(now)-1])
		}
	}
	return strings.Join(rows, "\n")
}

// Before the lesson has begun, no key reaches the bench.
func TestLessonOpens(t *testing.T) {
	t.Parallel()
	d, l := deskWithLesson(t, "lining-worn-thin", 80, 24)
	assert.Contains(t, d.textOf(l), "6 stops")
	for _, k := range []string{"x", "right", "l", "q", "1", "n"} {
		d.press(k)
		require.Len(t, d.stack, 2, k)
	}
	d.shows(1, "the run waits")
	assert.False(t, d.bench.Changed())
	d.press("esc")
	assert.Len(t, d.stack, 1)
	assert.Nil(t, d.bench.lesson.due)
}

// The run holds at every stop at its moment, whichever way it goes on, and the lesson comes
// to its end.
func TestLessonHolds(t *testing.T) {
	t.Parallel()
	for _, name := range some(withLessons(t)) {
		want := stopTicks(loadCase(t, name))
		for _, how := range []string{"end", "frames"} {
			if how == "frames" && name != "lining-worn-thin" && name != "healthy-coupled-pair" {
				continue
			}
			t.Run(name+" "+how, func(t *testing.T) {
				d, l := deskWithLesson(t, name, 80, 24)
				require.Len(t, want, len(l.c.Scenario.Lesson))
				d.press("enter")
				assert.Equal(t, player.Playing, d.bench.player.State(), "it runs from its start")
				assert.Equal(t, Rect{}, l.Place(80, 23), "and covers nothing")
				for i, at := range want {
					goOn(d, how)
					d.shows(at, fmt.Sprintf("stop %d", i+1))
					assert.NotEqual(t, player.Playing, d.bench.player.State())
					require.Equal(t, lessonAtStop, l.part)
					assert.Equal(t, i, l.at)
					assert.Contains(t, d.textOf(l), fmt.Sprintf("%d of %d", i+1, len(want)))
					answer(d, l)
					d.press("enter")
				}
				if l.part == lessonRuns {
					goOn(d, how)
				}
				require.Equal(t, lessonEnds, l.part)
				require.True(t, d.bench.player.Shown().Over)
				assert.Contains(t, d.textOf(l), fmt.Sprintf("of %d questions", l.score.Asked))
				d.press("enter")
				assert.Len(t, d.stack, 1)
				assert.Nil(t, d.bench.lesson.due)
			})
		}
	}
}

// answer gives the right answer to the question of a stop, if there is one. To a prediction it is any number.
func answer(d *desk, l *lessonScreen) {
	switch s := l.stop(); {
	case !l.waits():
	case s.Number != nil:
		d.press(strings.Split(sim.FigureText(s.Value, 4), "")...)
		d.press("enter")
	default:
		d.press(strconv.Itoa(s.Answer))
	}
}

// goOn runs to the next stop or to the end.
func goOn(d *desk, how string) {
	if how == "end" {
		d.press("end")
		return
	}
	d.setSpeed(50)
	for range 5000 {
		if d.bench.player.State() != player.Playing {
			return
		}
		d.frame(frameRate)
	}
}

// Nothing that is shown before the answer depends on which answer is right.
func TestLessonKeepsTheAnswer(t *testing.T) {
	t.Parallel()
	for _, name := range some(withLessons(t)) {
		d, l := deskWithLesson(t, name, 80, 24)
		c := *l.c // with a lesson of its own, which is changed below
		c.Scenario.Lesson = slices.Clone(c.Scenario.Lesson)
		l.c = &c
		d.press("enter", "end")
		for l.part == lessonAtStop {
			if s := l.stop(); l.waits() && s.Number == nil {
				before := fmt.Sprint(l.passages())
				assert.Contains(t, before, s.Ask)
				assert.NotContains(t, before, strings.TrimSpace(s.Because), name)
				right, because := s.Answer, s.Because
				s.Answer, s.Because = right%len(s.Choices)+1, "For another reason."
				assert.Equal(t, before, fmt.Sprint(l.passages()), "stop %d of %s", l.at+1, name)
				s.Answer, s.Because = right, because
				d.press("1")
				after := fmt.Sprint(l.passages())
				assert.Contains(t, after, strings.TrimSpace(because))
				assert.Contains(t, after, s.Choices[right-1]+"  ✓", "the right one is marked, whatever was said")
			}
			answer(d, l)
			d.press("enter")
			if l.part == lessonRuns {
				d.press("end")
			}
		}
		require.Equal(t, lessonEnds, l.part, name)
	}
}

func TestLessonAnswers(t *testing.T) {
	t.Parallel()
	d, l := deskWithLesson(t, "lining-worn-thin", 120, 40)
	d.press("enter", "end")
	require.Equal(t, 1, l.stop().Answer)
	for _, k := range []string{"enter", " ", "9", "0"} {
		d.press(k)
		assert.True(t, l.waits(), "a question stays until it is answered: %s", k)
	}
	d.press("2")
	assert.Contains(t, d.textOf(l), "✗ Wrong.")
	assert.Contains(t, d.textOf(l), "✓")
	d.press("1")
	assert.Contains(t, d.textOf(l), "✗ Wrong.", "the first answer counts")
	d.press("enter", "end", "3")
	assert.Contains(t, d.textOf(l), "✓ Correct.")
	assert.NotContains(t, d.textOf(l), "✗")
	goToPart(d, l, lessonEnds)
	assert.Contains(t, d.textOf(l), "2 of 4 questions answered correctly")
	assert.Contains(t, joined(d.textOf(l)), "The run ended with fail; the verdict is failed, the class caught, the load drop ")
}

// typeIn types a number.
func typeIn(d *desk, number string) {
	d.press(strings.Split(number, "")...)
	d.press("enter")
}

// A number that is asked for is typed, and the run's stands beside it.
func TestLessonAsksForANumber(t *testing.T) {
	t.Parallel()
	d, l := deskWithLesson(t, "healthy-down-and-up", 120, 40)
	d.press("enter", "end", "enter", "end")
	require.True(t, l.waits())
	require.NotContains(t, d.textOf(l), "0.84", "the value is not shown before the answer")
	d.press("enter")
	assert.Contains(t, d.textOf(l), "✗ type a number such as 2.5, then enter")
	typeIn(d, "1.2.3")
	assert.Contains(t, d.textOf(l), "› 1.2.3_ N·m")
	assert.True(t, l.waits(), "what is no number is not taken")
	d.press("backspace", "backspace", "backspace", "backspace", "backspace", "backspace", "0", ",", "9", "x", "x")
	assert.Contains(t, d.textOf(l), "› 0.9_ N·m", "other keys are the bench's")
	d.press("enter")
	assert.Contains(t, d.textOf(l), "your answer: 0.9 N·m; calculated: 0.842 N·m")
	assert.Contains(t, d.textOf(l), "✓ Correct. Pressing downwards, the load contributes: 2.81 N·m of load")
	assert.Equal(t, score{Asked: 1, Right: 1}, l.score)
}

// A prediction is compared at the next stop, with the run that there is then.
func TestLessonComparesAPrediction(t *testing.T) {
	t.Parallel()
	for answer, want := range map[string]struct {
		says  string
		score score
	}{
		"0.5": {"✓ Correct. The link takes", score{Asked: 2, Right: 2}},
		"1":   {"≈ Near. The link takes", score{Asked: 2, Right: 1, Near: 1}},
		"-5":  {"✗ Wrong. The link takes", score{Asked: 2, Right: 1}},
	} {
		d, l := deskWithLesson(t, "oil-on-the-lining", 120, 40)
		d.press("enter", "end", "3", "enter", "end", "enter", "end")
		typeIn(d, answer)
		assert.Contains(t, d.textOf(l), "your answer: "+answer+" mm")
		assert.NotContains(t, d.textOf(l), "the run: ", "it has not happened yet")
		assert.Equal(t, 1, l.score.Asked)
		d.press("enter", "end")
		assert.Contains(t, d.textOf(l), "your answer: "+answer+" mm; the run: 0.603 mm")
		assert.Contains(t, d.textOf(l), want.says)
		assert.Contains(t, joined(d.textOf(l)), "must rise from -1.1 N·m")
		assert.Equal(t, want.score, l.score)
	}
}

// Figures are those of the run as it is, not of the document.
func TestLessonHasTheFiguresOfTheRun(t *testing.T) {
	t.Parallel()
	d, l := deskWithLesson(t, "oil-on-the-lining", 120, 40)
	d.press("enter", "end")
	assert.Contains(t, joined(d.textOf(l)), "it carries 3.92 N·m and has a capacity of 9.")
	d.press("esc")
	d.send(setValues{map[string]string{"rig.brake.static_nm": "8"}})
	d.press("n")
	l = d.top().(*lessonScreen)
	d.press("enter", "end")
	assert.Contains(t, joined(d.textOf(l)), "has a capacity of")
}

// With another rig there is no lesson, and the bench says why.
func TestNoLessonOnAnotherRig(t *testing.T) {
	t.Parallel()
	d := newDesk(t, "lining-worn-thin")
	d.send(Chosen{Reference: "lining-worn-thin", Overrides: scenarios.Overrides{Rig: "kiln-gate"}})
	d.press("n")
	assert.Len(t, d.stack, 1)
	d.says("a lesson belongs to the rig and the sequence of its scenario", false)
}

// esc leaves at any time and takes the stops off the run.
func TestLessonIsLeft(t *testing.T) {
	t.Parallel()
	for _, part := range []lessonPart{lessonRuns, lessonAtStop, lessonEnds} {
		d, l := deskWithLesson(t, "healthy-arm", 80, 24)
		goToPart(d, l, part)
		d.press("esc")
		require.Len(t, d.stack, 1)
		assert.Nil(t, d.bench.lesson.due)
		d.press("end")
		assert.True(t, d.bench.player.Shown().Over, "nothing holds the run any more")
		assert.Empty(t, d.bench.notice.Text)
	}
}

// One that is left before its run is there leaves no stops behind.
func TestLessonIsLeftAtOnce(t *testing.T) {
	t.Parallel()
	d, _ := deskWithLesson(t, "healthy-arm", 80, 24)
	d.post(keyOf("enter"))
	d.step(0) // it asks for its run
	d.post(keyOf("esc"))
	d.pending = append(d.pending[1:], d.pending[0])
	d.drain()
	require.Len(t, d.stack, 1)
	assert.Nil(t, d.bench.stops())
	d.press("end")
	assert.True(t, d.bench.player.Shown().Over)
	d.press("n")
	assert.Len(t, d.stack, 2, "it can be begun again")
}

// While the lesson covers nothing or asks, the other keys are the bench's.
func TestLessonSharesTheKeys(t *testing.T) {
	t.Parallel()
	d, l := deskWithLesson(t, "lining-worn-thin", 80, 24)
	d.press("enter", " ")
	assert.NotEqual(t, player.Playing, d.bench.player.State(), "the run is paused")
	d.press("+")
	assert.Equal(t, 2.0, d.bench.player.Speed())
	d.press("?")
	assert.IsType(t, &helpScreen{}, d.top())
	d.press("esc", "end")
	require.True(t, l.waits())
	at := d.bench.player.Cursor()
	d.press("left", "tab")
	d.shows(at-400, "one can look back before one answers")
	assert.Equal(t, 1, int(d.bench.show.tab))
	d.press("n", "b")
	assert.Len(t, d.stack, 2, "no other lesson and no riddle over it")
	d.says("leave the lesson first", false)
	d.press("1", "enter")
	assert.Equal(t, player.Playing, d.bench.player.State(), "from where one looked")
}

// Before a question is answered no key goes beyond its moment, where the answer could be read; the panel says why.
func TestQuestionIsAnsweredFirst(t *testing.T) {
	t.Parallel()
	const first = "answer the question first"
	for _, k := range []string{"end", "G", "right", "]", ".", "s", "e"} {
		d, l := deskWithLesson(t, "lining-worn-thin", 80, 24)
		d.press("enter", "end")
		require.True(t, l.waits())
		at := l.stop().Tick
		d.press(k)
		d.shows(at, k)
		assert.Equal(t, at, d.bench.player.Shown().Ticks, "%s: nothing more was run", k)
		assert.Contains(t, d.textOf(l), first, k)
		d.press("left", "left")
		d.shows(at-800, "one can look back")
		assert.NotContains(t, d.textOf(l), first)
		d.press("]")
		d.shows(at, "and to the question again")
		answer(d, l)
		assert.Equal(t, 1, l.score.Right)
		d.press("right")
		d.shows(at+400, "the run goes on with the answer")
	}
}

// The messages of an answer and of the key after it may overtake one another: the run goes on all the same, and an
// earlier answer does not free the run from the next question.
func TestAnswerInAnyOrder(t *testing.T) {
	t.Parallel()
	d, l := deskWithLesson(t, "lining-worn-thin", 80, 24)
	d.press("enter", "end")
	require.True(t, l.waits())
	first := l.stop().Tick
	d.post(keyOf(strconv.Itoa(l.stop().Answer)))
	revealed := d.pending
	d.pending = nil
	d.press("enter")
	assert.Equal(t, player.Playing, d.bench.player.State())
	d.press("end")
	require.True(t, l.waits())
	second := l.stop().Tick
	require.Greater(t, second, first)
	d.pending = revealed
	d.drain()
	d.press("end")
	d.shows(second, "it is the question before that was answered")
}

// A lesson that is left with a question open holds nothing any more.
func TestQuestionOfALessonThatWasLeft(t *testing.T) {
	t.Parallel()
	d, l := deskWithLesson(t, "lining-worn-thin", 80, 24)
	d.press("enter", "end")
	require.True(t, l.waits())
	d.press("esc", "end")
	assert.True(t, d.bench.player.Shown().Over)
}

// A stop that the bench went past while the lesson was in sight is shown next.
func TestLessonMissesNoStop(t *testing.T) {
	t.Parallel()
	d, l := deskWithLesson(t, "lining-worn-thin", 80, 24)
	want := len(l.c.Scenario.Lesson)
	d.press("enter", "end")
	answer(d, l)
	for range want {
		d.press("end")
	}
	require.True(t, d.bench.player.Shown().Over)
	for i := range want {
		require.Equal(t, lessonAtStop, l.part)
		assert.Equal(t, i, l.at)
		answer(d, l)
		d.press("enter")
	}
	assert.Equal(t, lessonEnds, l.part)
	assert.NotNil(t, l.result)
}

// Another run on the bench ends the lesson.
func TestLessonEndsWithItsRun(t *testing.T) {
	t.Parallel()
	for name, msg := range map[string]tea.Msg{
		"run again":        keyOf("r"),
		"another scenario": Chosen{Reference: "healthy-down"},
	} {
		d, l := deskWithLesson(t, "lining-worn-thin", 80, 24)
		d.press("enter", "end")
		d.send(msg)
		assert.Equal(t, lessonEnds, l.part, name)
		assert.Contains(t, d.textOf(l), "another run is on the bench")
		d.press("end")
		assert.True(t, d.bench.player.Shown().Over, "its stops hold no other run")
		assert.Nil(t, l.result, "nor is its result the lesson's")
		d.press("enter")
		assert.Len(t, d.stack, 1)
	}
}

// What is left of the run before does not end the lesson.
func TestLessonAfterRunning(t *testing.T) {
	t.Parallel()
	d := newDesk(t, "lining-worn-thin")
	d.press("n")
	l := d.top().(*lessonScreen)
	result := *ranToEnd(t, "lining-worn-thin")
	d.send(runOver{l.c, &result})
	d.press("enter", "end", "1", "enter")
	assert.Equal(t, lessonRuns, l.part, "the end of the run before is none of this one")
}

func ranToEnd(t *testing.T, name string) *sim.Result {
	t.Helper()
	result, err := sim.Run(loadCase(t, name), nil)
	require.NoError(t, err)
	return result
}

// The end of the run that was on the bench before is not that of the lesson, whose run is on its way.
func TestLessonWaitsForItsRun(t *testing.T) {
	t.Parallel()
	d := newDesk(t, "lining-worn-thin")
	d.press("n")
	l := d.top().(*lessonScreen)
	d.post(keyOf("enter"))
	d.send(runOver{l.c, ranToEnd(t, "lining-worn-thin")})
	assert.NotEqual(t, lessonEnds, l.part)
	d.press("end")
	assert.Equal(t, lessonAtStop, l.part)
}

// A lesson whose last stop is the last tick of the run shows it before it ends.
func TestLessonStopAtTheEnd(t *testing.T) {
	t.Parallel()
	d := newDesk(t, "transmission-severed")
	c := d.bench.Case()
	s := c.Scenario
	s.Lesson = sim.Lesson{{Event: &sim.EventMatch{Kind: "obligation"}, Say: "This must hold in every run."}}
	own, _, err := c.With(s)
	require.NoError(t, err)
	d.send(Open{newLesson(own, nil, "")})
	l := d.top().(*lessonScreen)
	d.press("enter", "end")
	require.True(t, d.bench.player.Shown().Over)
	require.Equal(t, lessonAtStop, l.part)
	d.press("enter")
	assert.Equal(t, lessonEnds, l.part)
	assert.NotNil(t, l.result)
}

func TestLessonAtEverySize(t *testing.T) {
	t.Parallel()
	d, l := deskWithLesson(t, "lining-worn-thin", 80, 24)
	for _, part := range []lessonPart{lessonOpens, lessonRuns, lessonAtStop, lessonEnds} {
		goToPart(d, l, part)
		for w := 0; w <= 210; w += 10 * sizeStep() {
			for h := 0; h <= 64; h += 6 * sizeStep() {
				l.Update(tea.WindowSizeMsg{Width: w, Height: h})
				r := l.Place(w, max(0, h-1))
				require.True(t, r.X >= 0 && r.Y >= 0 && r.W >= 0 && r.H >= 0 && r.X+r.W <= w && r.Y+r.H <= max(0, h-1), "%v at %dx%d", r, w, h)
				text(l, w, max(1, h))
				l.Update(turn(3, 3, tea.MouseButtonWheelDown))
			}
		}
	}
}

// goToPart answers and goes on until the lesson is in a part.
func goToPart(d *desk, l *lessonScreen, part lessonPart) {
	for l.part != part {
		if l.part == lessonRuns {
			d.press("end")
			continue
		}
		if l.part == lessonAtStop && l.waits() {
			d.press("1")
		}
		d.press("enter")
	}
}
