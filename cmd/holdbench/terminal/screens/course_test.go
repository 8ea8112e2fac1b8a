package screens

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/terminal/progress"
	"holdbench/scenarios"
)

// deskWithCourse has a bench with the course, whose progress is kept in a file.
func deskWithCourse(t *testing.T, file string) *desk {
	t.Helper()
	course, err := NewCourse(progress.Open(file))
	require.NoError(t, err)
	d := newDesk(t, "healthy-down-and-up")
	d.bench.Teach(course)
	return d
}

func courseFile(t *testing.T) string {
	t.Helper()
	return filepath.Join(t.TempDir(), "holdbench", "course.json")
}

// playLesson goes through a lesson with right answers, as far as they are known before.
func playLesson(t *testing.T, d *desk) *lessonScreen {
	t.Helper()
	l, ok := d.top().(*lessonScreen)
	require.True(t, ok)
	d.press("enter")
	for l.part != lessonEnds {
		switch {
		case l.part == lessonRuns:
			d.press("end")
		case l.waits():
			answer(d, l)
		default:
			d.press("enter")
		}
	}
	return l
}

// From the list through a lesson to the next one, and the list shows what was done.
func TestCourse(t *testing.T) {
	t.Parallel()
	file := courseFile(t)
	d := deskWithCourse(t, file)
	d.press("N")
	s, ok := d.top().(*courseScreen)
	require.True(t, ok)
	assert.Contains(t, d.textOf(s), "0 of 36 lessons done")
	assert.NotContains(t, d.textOf(s), "questions")
	d.press("down", "enter")
	l := d.top().(*lessonScreen)
	require.Equal(t, "lining-worn-thin", l.c.Scenario.Scenario)
	assert.Contains(t, d.textOf(l), "A brake that has held every night")
	playLesson(t, d)
	assert.Contains(t, joined(d.textOf(l)), "This was lining-worn-thin: Lining worn below the test torque.")
	assert.Contains(t, joined(d.textOf(l)), "4 of 4 questions answered correctly.")
	assert.Contains(t, joined(read(d, l)), "Next lesson, with enter: 1.3 Stopped before the test")
	d.press("enter")
	next := d.top().(*lessonScreen)
	assert.Equal(t, "worn-brake-after-stop", next.c.Scenario.Scenario)
	require.Len(t, d.stack, 2)
	d.press("esc", "N")
	s = d.top().(*courseScreen)
	assert.Contains(t, d.textOf(s), "1 of 36 lessons done; 4 of 4 questions answered correctly.")
	assert.Contains(t, joined(d.textOf(s)), "✓ 1.2 A brake that has held every night: Lining worn below the test torque 4 of 4")
	row, _ := s.list.now()
	assert.Equal(t, "1.3", row.name, "the one behind the last that is done is proposed")

	again := deskWithCourse(t, file)
	again.press("N")
	assert.Contains(t, again.textOf(again.top()), "1 of 36 lessons done", "it is kept")
}

// Until a lesson is done, neither list nor bench nor lesson says which scenario it is.
func TestCourseGivesNothingAway(t *testing.T) {
	t.Parallel()
	course, err := scenarios.BuiltinCourse()
	require.NoError(t, err)
	for i, lesson := range some(course.Lessons()) {
		if i%6 != 1 {
			continue
		}
		d := deskWithCourse(t, courseFile(t))
		d.size = tea.WindowSizeMsg{Width: 200, Height: 60}
		d.send(d.size)
		own := loadCase(t, lesson.Scenario).Scenario
		hidden := func(where string) {
			for _, s := range d.stack {
				text := joined(d.textOf(s))
				assert.NotContains(t, text, own.Title, "%s of %s", where, lesson.Scenario)
				assert.NotContains(t, text, own.Scenario, "%s of %s", where, lesson.Scenario)
			}
		}
		d.press("N")
		hidden("list")
		d.send(Close{})
		d.send(lessonOf(lesson.Scenario))
		hidden("opening")
		d.press("enter")
		hidden("run")
		d.press("end")
		assert.Contains(t, d.textOf(d.bench), lesson.Title)
		assert.NotContains(t, strings.Split(d.textOf(d.top()), "\n")[0], own.Scenario)
		assert.True(t, strings.HasPrefix(d.bench.Name(), "lesson-"), "files of pictures")
	}
}

// Faults that have not come yet are not on the bench before the lesson is done.
func TestCourseHidesComingFaults(t *testing.T) {
	t.Parallel()
	d := deskWithCourse(t, courseFile(t))
	d.send(lessonOf("transmission-severed"))
	d.press("enter", "end")
	assert.NotContains(t, d.textOf(d.bench), "transmission.severed")
	assert.NotContains(t, d.textOf(d.bench), "1 fault")
	playLesson(t, d)
	d.press("esc")
	assert.Contains(t, d.textOf(d.bench), "transmission-severed")
	assert.Contains(t, d.textOf(d.bench), "1 fault")
}

// Neither the truth nor a fault is on the bench before a question of the lesson is answered, however often the key for
// the truth is pressed. A lesson that is left hides nothing.
func TestCourseHidesTheTruthUntilAnAnswer(t *testing.T) {
	t.Parallel()
	tells := []string{"1 fault", "brake.condition", "short", "capacity"}
	d := deskWithCourse(t, courseFile(t))
	d.size = tea.WindowSizeMsg{Width: 120, Height: 40}
	d.send(d.size)
	d.send(lessonOf("lining-worn-thin"))
	for _, keys := range [][]string{{"h"}, {"enter"}, {"h"}, {"end"}, {"h"}, {"h"}} {
		d.press(keys...)
		for _, word := range tells {
			assert.NotContains(t, d.textOf(d.bench), word, "after %v", keys)
		}
	}
	depth := len(d.stack)
	d.press("f")
	assert.Len(t, d.stack, depth)
	d.says("not available before a question of the lesson is answered", false)
	d.press("2")
	assert.Contains(t, d.textOf(d.bench), "1 fault", "a wrong answer reveals it as well")
	assert.Contains(t, d.textOf(d.bench), "brake.condition = 0.35")

	d.send(lessonOf("press-up-without-load")) // a number
	d.press("enter", "end")
	assert.NotContains(t, d.textOf(d.bench), "1 fault")
	d.press("1", "enter")
	assert.Contains(t, d.textOf(d.bench), "1 fault")

	d.send(lessonOf("worn-brake-after-stop"))
	d.press("enter", "end")
	assert.NotContains(t, d.textOf(d.bench), "1 fault")
	d.press("esc")
	assert.Contains(t, d.textOf(d.bench), "1 fault")
}

// A lesson of the course has its number after it was done, runs in real time whatever the speed was before, and is
// opened with its rig, its sequence and what its chapter is for.
func TestCourseLessonBegins(t *testing.T) {
	t.Parallel()
	d := deskWithCourse(t, courseFile(t))
	d.send(lessonOf("press-up-without-load"))
	opening := joined(d.textOf(d.top()))
	assert.Contains(t, opening, "Rig pane-hoist, sequence hasty.")
	assert.Contains(t, opening, "The load helps in one direction and opposes in the other.")
	l := playLesson(t, d)
	assert.Contains(t, d.textOf(l), "lesson 2.1 press-up-without-load")
	assert.NotContains(t, read(d, l), "simulation proves no machine safe", "it stood at the beginning")
	d.press("esc", "+", "+")
	require.NotEqual(t, 1.0, d.bench.player.Speed())
	d.send(lessonOf("press-up-without-load"))
	assert.Contains(t, d.textOf(d.top()), "lesson 2.1 press-up-without-load")
	assert.Equal(t, 1.0, d.bench.player.Speed())
}

// A no to the loss of a changed run leads back to the course.
func TestCourseStaysAfterANo(t *testing.T) {
	t.Parallel()
	d := deskWithCourse(t, courseFile(t))
	d.press("t", "N", "enter")
	require.IsType(t, (*askScreen)(nil), d.top())
	d.press("enter")
	assert.IsType(t, (*courseScreen)(nil), d.top())
	assert.Len(t, d.stack, 2)
}

// The key for scrolling is offered where a text is longer than its place.
func TestLessonOffersScrolling(t *testing.T) {
	t.Parallel()
	for _, size := range goldenSizes {
		d, l := deskWithLesson(t, "lining-worn-thin", size[0], size[1])
		for range 4 {
			in := l.within(l.Place)
			longer := rowsOf(max(0, in.W-1), l.passages()) > in.H
			offered := slices.ContainsFunc(l.Keys(), func(k key.Binding) bool { return k.Help().Desc == "scroll" })
			assert.Equal(t, longer, offered, "at %v", size)
			d.press("enter", "end", "1")
		}
	}
}

// A lesson that is left, or whose run was replaced, is not done.
func TestCourseLessonIsLeft(t *testing.T) {
	t.Parallel()
	d := deskWithCourse(t, courseFile(t))
	d.send(lessonOf("oil-on-the-lining"))
	d.press("enter", "end", "esc", "N")
	assert.Contains(t, d.textOf(d.top()), "0 of 36 lessons done")
	d.press("esc")
	d.send(lessonOf("oil-on-the-lining"))
	d.press("enter", "end", "r")
	l := d.top().(*lessonScreen)
	require.Equal(t, lessonEnds, l.part)
	d.press("enter", "N")
	assert.Contains(t, d.textOf(d.top()), "0 of 36 lessons done")
}

// What cannot be kept is said, and the course goes on.
func TestCourseWithoutAFile(t *testing.T) {
	t.Parallel()
	d := deskWithCourse(t, "")
	d.press("N")
	assert.Contains(t, joined(d.textOf(d.top())), "! progress is not kept: neither XDG_STATE_HOME nor HOME names a folder")
	d.press("enter")
	playLesson(t, d)
	d.press("N")
	assert.Contains(t, d.textOf(d.top()), "1 of 36 lessons done")
}

func TestCourseOpensWhereItMay(t *testing.T) {
	t.Parallel()
	d := deskWithCourse(t, courseFile(t))
	d.press("n", "enter", "end", "N")
	assert.Len(t, d.stack, 2)
	d.says("leave the lesson first", false)
	without := newDesk(t, "healthy-down")
	without.press("N")
	assert.Len(t, without.stack, 1)
	without.says("there is no course here", false)
}

// The last lesson of the course leads back to the first that was left out, and with none left it is the end.
func TestCourseEnds(t *testing.T) {
	t.Parallel()
	d := deskWithCourse(t, courseFile(t))
	course := d.bench.course
	list := course.document.Lessons()
	last := list[len(list)-1].Scenario
	for _, l := range list[1 : len(list)-1] {
		require.NoError(t, course.progress.Finish(l.Scenario, progress.Score{Asked: 2, Right: 2})())
	}
	d.send(lessonOf(last))
	assert.Contains(t, joined(read(d, playLesson(t, d))), "Next lesson, with enter: 1.1 ")
	d.press("esc")
	require.NoError(t, course.progress.Finish(list[0].Scenario, progress.Score{Asked: 2, Right: 2})())
	d.send(lessonOf(last))
	l := playLesson(t, d)
	assert.NotContains(t, read(d, l), "Next lesson")
	d.press("enter")
	assert.Len(t, d.stack, 1)
	assert.Empty(t, d.bench.untold)
}

func TestCourseScreens(t *testing.T) {
	t.Parallel()
	course, err := NewCourse(progress.InMemory())
	require.NoError(t, err)
	course.progress.Finish("healthy-down-and-up", progress.Score{Asked: 4, Right: 3, Near: 1})
	course.progress.Finish("lining-worn-thin", progress.Score{Asked: 4, Right: 4})
	for _, size := range goldenSizes {
		s := newCourse(course)
		s.Update(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
		golden(t, sizeName("course", size), text(s, size[0], size[1]))
	}
}

func TestCourseAtEverySize(t *testing.T) {
	t.Parallel()
	course, err := NewCourse(progress.InMemory())
	require.NoError(t, err)
	s := newCourse(course)
	for w := 0; w <= 210; w += 10 * sizeStep() {
		for h := 0; h <= 64; h += 6 * sizeStep() {
			s.Update(tea.WindowSizeMsg{Width: w, Height: h})
			s.Update(keyOf("pgdown"))
			s.Update(turn(3, 3, tea.MouseButtonWheelUp))
			text(s, w, max(1, h))
		}
	}
}

// Why progress is not kept is whole on every screen, with the path and the remedy.
func TestCourseSaysWholeWhyProgressIsNotKept(t *testing.T) {
	t.Parallel()
	file := courseFile(t)
	require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o700))
	require.NoError(t, os.WriteFile(file, []byte("{\"course\": 1"), 0o600))
	d := deskWithCourse(t, file)
	for _, size := range [][2]int{{80, 12}, {80, 24}, {120, 40}, {200, 60}} {
		d.size = tea.WindowSizeMsg{Width: size[0], Height: size[1]}
		d.send(d.size)
		d.press("N")
		shown := strings.Map(func(r rune) rune {
			if strings.ContainsRune(" \n│~", r) {
				return -1
			}
			return r
		}, d.textOf(d.top()))
		assert.Contains(t, shown, strings.ReplaceAll(d.bench.course.progress.Fault().Error(), " ", ""), size)
		d.press("esc")
	}
}
