package screens

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/internal/caution"
	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/sequence"
	"holdbench/sim"
)

// lessonScreen plays a scenario with stops at the moments that matter. At a stop it covers the lower
// part of the bench; while the run goes on it covers nothing.
type lessonScreen struct {
	panel
	c       *sim.Case
	part    lessonPart
	at      int             // stop that is shown
	reached []sim.ShownStop // stops that the run came to
	away    bool            // another run is on the bench
	coming  bool            // its own run is asked for, and not on the bench yet
	early   bool            // the key before would have gone beyond the open question
	score   score
	given   int // answer to the present question, from 1; 0 for none yet
	number  numberAnswer
	result  *sim.Result
	scroll  int

	course *Course // nil without one
	untold string  // title in place of the scenario's until the lesson is done; empty for none
	told   bool    // that it is done
}

// score counts the questions of a lesson.
type score struct{ Asked, Right, Near int }

// lessonPart is the part of a lesson that is on.
type lessonPart int

const (
	lessonOpens lessonPart = iota
	lessonRuns
	lessonAtStop
	lessonEnds
)

// newLesson makes the lesson of a case, which must have one; untold is the title that it has until it is done,
// empty for the scenario's own.
func newLesson(c *sim.Case, course *Course, untold string) *lessonScreen {
	return &lessonScreen{panel: newPanel(0, 0), c: c, at: -1, course: course, untold: untold}
}

// Typing is never so.
func (l *lessonScreen) Typing() bool { return false }

// Place is the lower part at a stop, and nothing while the run goes on.
func (l *lessonScreen) Place(w, h int) Rect {
	switch l.part {
	case lessonRuns:
		return Rect{}
	case lessonOpens:
		return centred(w, h, 90, 26)
	}
	const frame = 2
	tall := min(max(2*h/3, 11), rowsOf(max(0, w-4), l.passages())+frame)
	return Rect{0, max(0, h-tall), w, min(h, tall)}
}

// Keys are those of the part, with that for scrolling where the text is longer than its place.
func (l *lessonScreen) Keys() []key.Binding {
	list := l.partKeys()
	if l.part == lessonRuns {
		return list
	}
	if in := l.within(l.Place); rowsOf(max(0, in.W-1), l.passages()) > in.H {
		list = slices.Insert(list, max(1, len(list)-1), l.keys.reading)
	}
	return list
}

func (l *lessonScreen) partKeys() []key.Binding {
	k := &l.keys
	leave := meaning(k.Close, "leave the lesson")
	switch {
	case l.part == lessonRuns:
		return []key.Binding{hint("space", "run, pause"), hint("+ -", "speed"), hint("end", "next stop"), leave, hint("?", "help")}
	case l.part == lessonAtStop && l.waits() && l.stop().Number != nil:
		return []key.Binding{hint("0-9", "type the number"), meaning(k.Take, "answer"), leave}
	case l.part == lessonAtStop && l.waits():
		return []key.Binding{hint("1-"+strconv.Itoa(len(l.stop().Choices)), "answer"), leave}
	case l.part == lessonEnds:
		return l.endKeys()
	}
	return []key.Binding{meaning(k.Take, "continue"), leave}
}

func (l *lessonScreen) stop() *sim.ShownStop { return &l.reached[l.at] }

// waits is whether a question is open.
func (l *lessonScreen) waits() bool {
	return l.stop().Ask != "" && l.given == 0 && !l.number.taken
}

// Update follows the run and takes the answers. All other keys go to the bench.
func (l *lessonScreen) Update(msg tea.Msg) (bool, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		l.size = msg
	case caseReplaced:
		l.onReplaced(msg.Case)
	case Stopped:
		l.reached = append(l.reached, msg.Stop)
		if l.part == lessonRuns && l.showStop() {
			return false, l.ask()
		}
	case runOver:
		if msg.Case == l.c && !l.coming {
			return false, l.onOver(msg.Result)
		}
	case tea.MouseMsg:
		l.read(wheel(msg))
		return l.part != lessonRuns, nil
	case answerFirst:
		l.early = true
	case tea.KeyMsg:
		l.early = false
		return l.onKey(msg)
	}
	return false, nil
}

// onReplaced ends the lesson if another run comes to the bench.
func (l *lessonScreen) onReplaced(c *sim.Case) {
	switch {
	case c == l.c:
		l.result, l.coming = nil, false
	case l.part != lessonOpens:
		l.part, l.scroll, l.away = lessonEnds, 0, true
	}
}

func (l *lessonScreen) onOver(result *sim.Result) tea.Cmd {
	l.result = result
	if l.part == lessonRuns {
		return l.end()
	}
	return nil
}

// showStop shows the text of the next stop that was reached, if there is one.
func (l *lessonScreen) showStop() bool {
	if l.at+1 >= min(len(l.reached), len(l.c.Scenario.Lesson)) {
		return false
	}
	l.at++
	l.part, l.given, l.scroll = lessonAtStop, 0, 0
	l.comparePrediction()
	return true
}

// ask tells the bench that a question is open, if there is one.
func (l *lessonScreen) ask() tea.Cmd {
	if !l.waits() {
		return nil
	}
	return Send(questionAsked{l.stop().Tick})
}

func (l *lessonScreen) onKey(msg tea.KeyMsg) (bool, tea.Cmd) {
	k := &l.keys
	on := key.Matches(msg, k.Take) || msg.String() == " "
	switch {
	case interrupted(msg):
		return false, nil
	case key.Matches(msg, k.Close):
		return true, l.leave()
	case l.part == lessonRuns:
		return false, nil
	case key.Matches(msg, k.ReadUp):
		l.read(-1)
	case key.Matches(msg, k.ReadDown):
		l.read(1)
	case l.part == lessonAtStop && l.waits():
		return l.answer(msg)
	case l.part == lessonEnds && msg.String() == "N" && l.course != nil:
		return true, tea.Sequence(l.leave(), Send(openCourse{}))
	case on && l.part == lessonEnds:
		return true, l.next()
	case on:
		return true, l.goOn()
	}
	return l.part == lessonOpens || key.Matches(msg, k.ReadUp, k.ReadDown), nil
}

// answer takes a digit; other keys are the bench's, so that the run can be examined before.
func (l *lessonScreen) answer(msg tea.KeyMsg) (bool, tea.Cmd) {
	text := msg.String()
	if l.stop().Number != nil {
		if taken := l.typeNumber(text); !l.number.taken {
			return taken, nil
		}
		return true, Send(truthRevealed{l.stop().Tick})
	}
	if len(text) == 1 && text[0] >= '1' && int(text[0]-'0') <= len(l.stop().Choices) {
		l.given = int(text[0] - '0')
		l.score.Asked++
		if l.given == l.stop().Answer {
			l.score.Right++
		}
		l.read(mostRows) // down to the reason
		return true, Send(truthRevealed{l.stop().Tick})
	}
	taken := text == "enter" || text == " "
	return taken, nil
}

// read moves the text.
func (l *lessonScreen) read(by int) {
	in := l.within(l.Place)
	l.scroll = scrolled(l.scroll, by, rowsOf(max(0, in.W-1), l.passages()), in.H)
}

// goOn lets the run go on, from its start when the lesson opens.
func (l *lessonScreen) goOn() tea.Cmd {
	opens := l.part == lessonOpens
	l.part, l.scroll = lessonRuns, 0
	switch {
	case opens:
		l.coming = true
		return Send(beginRun{Case: l.c, Lesson: true})
	case l.showStop(): // the bench went past it while the text was shown: back to its moment
		return tea.Sequence(Send(showMoment{l.stop().Tick}), l.ask())
	case l.result != nil:
		return l.end()
	case l.nothingFollows():
		return Send(toRunsEnd{})
	}
	return Send(Play{})
}

// nothingFollows is whether the last stop is behind and the run has no end of its own: it goes on for a long time,
// in which nothing changes.
func (l *lessonScreen) nothingFollows() bool {
	s := &l.c.Scenario
	return l.at == len(s.Lesson)-1 && s.Expect.End == sequence.EndNone.String()
}

func (l *lessonScreen) leave() tea.Cmd {
	return tea.Sequence(both(Close{}, Stops{}), Send(truthRevealed{}))
}

// Draw draws what the lesson says now.
func (l *lessonScreen) Draw(a page.Area) {
	if l.part == lessonRuns {
		return
	}
	in := l.frame(a, l.title())
	drawMore(in, l.scroll, drawPassages(in.Sub(0, 0, in.W()-1, in.H()), -l.scroll, l.passages()))
}

func (l *lessonScreen) title() string {
	switch l.part {
	case lessonAtStop:
		title := fmt.Sprintf("lesson %s, %d of %d", l.name(), l.at+1, len(l.c.Scenario.Lesson))
		if l.early && l.waits() {
			title += ": answer the question first"
		}
		return title
	case lessonEnds:
		return "end of the lesson " + l.name()
	}
	return "lesson " + l.name()
}

// passages is the text of the part.
func (l *lessonScreen) passages() []passage {
	switch l.part {
	case lessonOpens:
		return l.opening()
	case lessonAtStop:
		return l.stopText()
	}
	return l.ending()
}

func (l *lessonScreen) opening() []passage {
	list := []passage{{page.Strong, 0, cmp.Or(l.untold, l.c.Scenario.Title)}}
	if aim := l.aim(); aim != "" {
		list = append(list, passage{page.Plain, 0, aim})
	}
	return append(list, []passage{
		{page.Faint, 0, "Rig " + l.c.Rig.Rig + ", sequence " + l.c.Sequence.Name + "."}, {},
		{page.Plain, 0, fmt.Sprintf("%d stops. The run pauses at each; space or enter continues. Between the stops all keys of the bench work.", len(l.c.Scenario.Lesson))}, {},
		{page.Caution, 0, "! " + caution.Whole},
	}...)
}

func (l *lessonScreen) stopText() []passage {
	s := l.stop()
	list := append(l.predictionText(), passage{page.Plain, 0, strings.TrimSpace(s.Say)})
	if s.Ask == "" {
		return list
	}
	list = append(list, passage{}, passage{page.Strong, 0, s.Ask})
	if s.Number != nil {
		return append(list, l.numberText()...)
	}
	for i, text := range s.Choices {
		list = append(list, l.choice(i+1, text))
	}
	if l.given == 0 {
		return list
	}
	word, role := "✗ Wrong.", page.Bad
	if l.given == s.Answer {
		word, role = "✓ Correct.", page.Good
	}
	return append(list, passage{role, 0, word + " " + strings.TrimSpace(s.Because)})
}

// choice is one answer, marked once the question is answered.
func (l *lessonScreen) choice(n int, text string) passage {
	p := passage{page.Plain, 2, fmt.Sprintf("%d  %s", n, text)}
	switch {
	case l.given == 0:
	case n == l.stop().Answer:
		p.role, p.text = page.Good, p.text+"  ✓"
	case n == l.given:
		p.role, p.text = page.Bad, p.text+"  ✗"
	}
	return p
}

// dropText is a load drop in mm; less than a hundredth is none.
func dropText(mm float64) string {
	const least, figures = 0.005, 3
	if mm < least {
		return "0.00"
	}
	return sim.FigureText(mm, figures)
}

func (l *lessonScreen) ending() []passage {
	var list []passage
	if l.untold != "" && !l.away {
		list = append(list, passage{page.Strong, 0, "This was " + l.c.Scenario.Scenario + ": " + l.c.Scenario.Title + "."})
	}
	if l.score.Asked > 0 {
		list = append(list, passage{page.Strong, 0, l.score.text()})
	}
	if l.away {
		list = append(list, passage{page.Plain, 0, "The lesson ends here, as another run is on the bench."})
	}
	if l.result != nil {
		list = append(list, passage{page.Plain, 0, fmt.Sprintf("The run ended with %s; the verdict is %s, the class %s, the load drop %s mm.",
			l.result.End, l.result.Verdict, l.result.Class, dropText(l.result.LoadDropMM))})
	}
	if next, ok := l.following(); ok {
		list = append(list, passage{page.Key, 0, "Next lesson, with enter: " + l.course.number(next.Scenario) + " " + next.Title})
	}
	if text := strings.TrimSpace(l.c.Scenario.Teaches); text != "" {
		list = append(list, passage{}, passage{page.Plain, 0, text})
	}
	if text := strings.TrimSpace(l.c.Scenario.Remedy); text != "" {
		list = append(list, passage{}, passage{page.Plain, 0, "Remedy: " + text})
	}
	if l.inCourse() != "" { // it stood at the beginning
		return list
	}
	return append(list, passage{}, passage{page.Caution, 0, "! " + caution.Whole})
}
