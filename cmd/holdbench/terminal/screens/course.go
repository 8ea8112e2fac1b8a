package screens

import (
	"fmt"
	"slices"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/cmd/holdbench/terminal/progress"
	"holdbench/scenarios"
	"holdbench/sim"
)

// Course is the course and what was done of it.
type Course struct {
	chapters []scenarios.Chapter
	document *scenarios.Course
	progress *progress.Store
}

// NewCourse is the built-in course with the progress of a person.
func NewCourse(p *progress.Store) (*Course, error) {
	document, err := scenarios.BuiltinCourse()
	if err != nil {
		return nil, err
	}
	return &Course{chapters: document.Chapters, document: document, progress: p}, nil
}

// number is the place of a lesson in the course, such as 2.3; empty if it is not there.
func (c *Course) number(scenario string) string {
	for i := range c.chapters {
		for j, l := range c.chapters[i].Lessons {
			if l.Scenario == scenario {
				return fmt.Sprintf("%d.%d", i+1, j+1)
			}
		}
	}
	return ""
}

// title is that of a lesson in the course, which does not tell what comes of it.
func (c *Course) title(scenario string) string {
	for _, l := range c.document.Lessons() {
		if l.Scenario == scenario {
			return l.Title
		}
	}
	return ""
}

// sums are how many lessons are done, and the score of all of them.
func (c *Course) sums() (done, all int, total score) {
	for _, l := range c.document.Lessons() {
		all++
		if s, ok := c.progress.Done(l.Scenario); ok {
			done++
			total.Asked, total.Right, total.Near = total.Asked+s.Asked, total.Right+s.Right, total.Near+s.Near
		}
	}
	return done, all, total
}

// choices are the lessons as rows of a list.
func (c *Course) choices() []choice {
	var rows []choice
	for i := range c.chapters {
		chapter := &c.chapters[i]
		for j, l := range chapter.Lessons {
			row := choice{
				group: fmt.Sprintf("%d  %s", i+1, chapter.Chapter), name: fmt.Sprintf("%d.%d", i+1, j+1), about: l.Title,
				ref: l.Scenario, place: i, marked: true,
			}
			if s, done := c.progress.Done(l.Scenario); done {
				row.mark, row.tag = '✓', fmt.Sprintf("%d of %d", s.Right, s.Asked)
				row.about = l.Title + ": " + ownTitle(l.Scenario)
			}
			rows = append(rows, row)
		}
	}
	return rows
}

// ownTitle is the title of a scenario itself, which tells what it is about.
func ownTitle(scenario string) string {
	return described(scenarios.ScenarioKind, scenario, scenario, "title", "").about
}

// courseScreen lists the lessons of the course in chapters.
type courseScreen struct {
	panel
	course *Course
	list   picker
}

// upNext is the lesson that is proposed: the first that is not done behind the last that is done, or else the first
// that is not done at all. It is false where all are done.
func (c *Course) upNext() (next scenarios.CourseLesson, ok bool) {
	for _, l := range slices.Backward(c.document.Lessons()) {
		if _, done := c.progress.Done(l.Scenario); done {
			break
		}
		next, ok = l, true
	}
	if ok {
		return next, true
	}
	for _, l := range c.document.Lessons() {
		if _, done := c.progress.Done(l.Scenario); !done {
			return l, true
		}
	}
	return next, false
}

// newCourse opens the course at the lesson that is proposed.
func newCourse(c *Course) *courseScreen {
	s := &courseScreen{panel: newPanel(110, 50), course: c, list: newPicker(c.choices())}
	if next, ok := c.upNext(); ok {
		s.list.moveTo(func(row *choice) bool { return row.ref == next.Scenario })
	}
	return s
}

// Typing is so: letters search.
func (s *courseScreen) Typing() bool { return true }

// Keys begin a lesson, move and search.
func (s *courseScreen) Keys() []key.Binding {
	k := &s.keys
	return []key.Binding{meaning(k.Take, "begin the lesson"), k.moving, hint("letters", "search"), k.Close}
}

// Update takes every key but the one that ends the program.
func (s *courseScreen) Update(msg tea.Msg) (bool, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		s.size = msg
	case tea.MouseMsg:
		return true, s.onMouse(msg)
	case tea.KeyMsg:
		if interrupted(msg) {
			return false, nil
		}
		return true, s.onKey(msg)
	}
	return false, nil
}

func (s *courseScreen) onKey(msg tea.KeyMsg) tea.Cmd {
	switch k := &s.keys; {
	case key.Matches(msg, k.Close):
		return Send(Close{})
	case key.Matches(msg, k.Take):
		return s.begin()
	}
	s.list.key(msg, &s.keys, s.layout(s.room()).H)
	return nil
}

func (s *courseScreen) onMouse(msg tea.MouseMsg) tea.Cmd {
	in := s.room()
	at := s.layout(in)
	x, y, ok := clicked(msg, in)
	if by := wheel(msg); by != 0 {
		s.list.move(by, at.H)
		return nil
	}
	if !ok || !at.Has(x, y) {
		return nil
	}
	if hit, again := s.list.click(y-at.Y, at.H); hit && again {
		return s.begin()
	}
	return nil
}

// begin loads the scenario of the chosen lesson.
func (s *courseScreen) begin() tea.Cmd {
	row, ok := s.list.now()
	if !ok {
		return nil
	}
	return both(Close{}, lessonOf(row.ref))
}

// lessonOf loads a scenario for the lesson of the course that it has.
func lessonOf(scenario string) Chosen { return Chosen{Reference: scenario, Lesson: true} }

// The rows above and below the list: what was done, the filter and a rule; a rule and what the chapter is for.
const courseHead, courseFoot = 3, 3

func (s *courseScreen) layout(in Rect) Rect {
	return Rect{0, courseHead, in.W, max(0, in.H-courseHead-s.footRows(in))}
}

// footRows are those below the list: as many as the reason needs why progress is not kept, which has path and remedy.
func (s *courseScreen) footRows(in Rect) int {
	err := s.course.progress.Fault()
	if err == nil {
		return courseFoot
	}
	const list = 1
	return max(courseFoot, min(1+rowsOf(in.W, []passage{{page.Caution, 0, notKept(err)}}), in.H-courseHead-list))
}

func notKept(err error) string { return "! " + err.Error() }

// Draw draws the sums, the list, and what the chapter of the chosen lesson is for.
func (s *courseScreen) Draw(a page.Area) {
	in := s.frame(a, s.course.document.Title)
	done, all, total := s.course.sums()
	text := fmt.Sprintf("%d of %d lessons done", done, all)
	if total.Asked > 0 {
		text += "; " + total.text()
	}
	in.Fit(0, 0, page.Strong, text)
	s.list.filter.draw(rowAt(in, 0, 1), true)
	in.HLine(0, 2, in.W(), page.Faint)
	at := s.layout(Rect{0, 0, in.W(), in.H()})
	s.list.draw(in.Sub(at.X, at.Y, at.W, at.H))
	in.HLine(0, at.Y+at.H, in.W(), page.Faint)
	s.drawFoot(in.Sub(0, at.Y+at.H+1, in.W(), in.H()-at.Y-at.H-1))
}

// drawFoot says why progress is not kept, or else what the chapter is for.
func (s *courseScreen) drawFoot(a page.Area) {
	if err := s.course.progress.Fault(); err != nil {
		a.Wrap(0, 0, page.Caution, notKept(err))
		return
	}
	if row, ok := s.list.now(); ok {
		a.Wrap(0, 0, page.Plain, s.course.chapters[row.place].Learn)
	}
}

// lessonDone tells that a lesson was played to its end.
type lessonDone struct {
	Scenario string
	Score    score
}

// onLessonDone notes it, and writes it if progress is kept.
func (b *Bench) onLessonDone(msg lessonDone) tea.Cmd {
	b.untold, b.veiled = "", false
	c := b.course
	if c == nil || c.number(msg.Scenario) == "" {
		return nil
	}
	save := c.progress.Finish(msg.Scenario, progress.Score(msg.Score))
	if save == nil {
		return nil
	}
	return b.worker.atOnce(func() tea.Msg {
		if err := save(); err != nil {
			return Notice{err.Error(), true}
		}
		return nil
	})
}

// openCourse lists the lessons, unless one is on.
func (b *Bench) openCourse() tea.Cmd {
	switch {
	case b.course == nil:
		b.say("there is no course here", false)
		return nil
	case b.lesson.on:
		b.say(inLesson, false)
		return nil
	case b.source.chosen.Overrides.Outside != nil:
		b.say("the lessons of the course run with their own sequences, and a controller is in place of them", false)
		return nil
	}
	return b.openUnlessMasked(func() Screen { return newCourse(b.course) })
}

// withoutComingFaults is a moment without the faults that have not come yet: a lesson that is not done tells of
// them itself.
func withoutComingFaults(v *sim.View) *sim.View {
	told := *v
	told.Faults = nil
	for _, f := range v.Faults {
		if f.Active || f.Over {
			told.Faults = append(told.Faults, f)
		}
	}
	return &told
}
