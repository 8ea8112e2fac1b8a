package screens

import (
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"holdbench/scenarios"
)

// truthRevealed tells the bench that a lesson of the course hides the truth no longer: a question was answered, or
// the lesson was left.
type truthRevealed struct{ Ticks int64 } // moment of the question that was answered; 0 when the lesson was left

// openCourse asks the bench for the course.
type openCourse struct{}

// name is what the lesson is called at the top of its panel: its number in the course, and the name of its
// scenario once it is done.
func (l *lessonScreen) name() string {
	number := l.inCourse()
	if l.untold != "" && !l.told {
		return number
	}
	return strings.TrimSpace(number + " " + l.c.Scenario.Scenario)
}

// inCourse is the number of the lesson in the course, empty without one.
func (l *lessonScreen) inCourse() string {
	if l.course == nil {
		return ""
	}
	return l.course.number(l.c.Scenario.Scenario)
}

// aim is what the chapter of the lesson is for, empty outside the course.
func (l *lessonScreen) aim() string {
	if l.course == nil {
		return ""
	}
	for _, chapter := range l.course.chapters {
		if slices.ContainsFunc(chapter.Lessons, func(of scenarios.CourseLesson) bool { return of.Scenario == l.c.Scenario.Scenario }) {
			return chapter.Learn
		}
	}
	return ""
}

// end shows the end of the lesson, and tells once that it is done.
func (l *lessonScreen) end() tea.Cmd {
	l.part, l.scroll = lessonEnds, 0
	if l.told || l.away {
		return nil
	}
	l.told = true
	return Send(lessonDone{l.c.Scenario.Scenario, l.score})
}

// following is the lesson behind this one in the course, and at its end the first that is not done; it is false for
// a lesson that is not in the course, for one that was not played to its end, and once nothing is left.
func (l *lessonScreen) following() (next scenarios.CourseLesson, ok bool) {
	if l.course == nil || l.away {
		return next, false
	}
	if next, ok = l.course.document.After(l.c.Scenario.Scenario); ok || l.inCourse() == "" {
		return next, ok
	}
	next, ok = l.course.upNext()
	return next, ok && next.Scenario != l.c.Scenario.Scenario
}

// endKeys go on to the next lesson, or close.
func (l *lessonScreen) endKeys() []key.Binding {
	k := &l.keys
	if _, ok := l.following(); !ok {
		return []key.Binding{meaning(k.Take, "close")}
	}
	return []key.Binding{meaning(k.Take, "next lesson"), hint("N", "course"), k.Close}
}

// next begins the next lesson, or closes where there is none.
func (l *lessonScreen) next() tea.Cmd {
	following, ok := l.following()
	if !ok {
		return l.leave()
	}
	return tea.Sequence(l.leave(), Send(lessonOf(following.Scenario)))
}
