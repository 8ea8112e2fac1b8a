package screens

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/terminal/page"
)

// askScreen is a question with yes and no. No comes of itself.
type askScreen struct {
	panel
	question, consequence string
	what                  any
	ifNo                  any // sent after a no; nil for nothing
	yes                   bool
}

// newAsk makes a question; yes sends [confirmed] with what it is about, once the question
// has closed.
func newAsk(question, consequence string, what any) *askScreen {
	return &askScreen{panel: newPanel(askWidth, 0), question: question, consequence: consequence, what: what}
}

const askWidth = 64

// Place is small and in the middle, on a small screen too.
func (q *askScreen) Place(w, h int) Rect {
	width := min(w, askWidth)
	const frameAndAnswers = 6
	height := min(h, rowsOf(max(0, width-4), q.passages())+frameAndAnswers)
	return Rect{(w - width) / 2, (h - height) / 2, width, height}
}

func (q *askScreen) passages() []passage { return []passage{{page.Plain, 0, q.consequence}} }

// Typing is never so.
func (q *askScreen) Typing() bool { return false }

// Keys are yes and no.
func (q *askScreen) Keys() []key.Binding {
	answer := "no"
	if q.yes {
		answer = "yes"
	}
	return []key.Binding{meaning(q.keys.Take, answer), q.keys.Yes, q.keys.No, meaning(q.keys.Close, "no"), q.keys.other}
}

// Update takes every key but the one that ends the program.
func (q *askScreen) Update(msg tea.Msg) (bool, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		q.size = msg
	case tea.MouseMsg:
		return true, q.onMouse(msg)
	case tea.KeyMsg:
		if interrupted(msg) {
			return false, nil
		}
		return true, q.onKey(msg)
	}
	return false, nil
}

func (q *askScreen) onKey(msg tea.KeyMsg) tea.Cmd {
	switch k := &q.keys; {
	case key.Matches(msg, k.Yes):
		return q.answer(true)
	case key.Matches(msg, k.No, k.Close):
		return q.answer(false)
	case key.Matches(msg, k.Take):
		return q.answer(q.yes)
	case key.Matches(msg, k.Aside):
		q.yes = !q.yes
	}
	return nil
}

// answer closes first, so that what comes of yes can open another screen.
func (q *askScreen) answer(yes bool) tea.Cmd {
	if yes {
		return both(Close{}, confirmed{q.what})
	}
	if q.ifNo != nil {
		return both(Close{}, q.ifNo)
	}
	return Send(Close{})
}

func (q *askScreen) onMouse(msg tea.MouseMsg) tea.Cmd {
	in := q.within(q.Place)
	x, y, ok := clicked(msg, in)
	if !ok || y != in.H-2 {
		return nil
	}
	switch {
	case x >= noAt && x < noAt+page.Width(noText):
		return q.answer(false)
	case x >= yesAt && x < yesAt+page.Width(yesText):
		return q.answer(true)
	}
	return nil
}

// The two answers and their columns.
const (
	noText, noAt   = "  no  ", 0
	yesText, yesAt = "  yes  ", 8
)

// Draw draws the question.
func (q *askScreen) Draw(a page.Area) {
	in := q.frame(a, q.question)
	drawPassages(in, 1, q.passages())
	drawAnswer(in, noAt, noText, !q.yes)
	drawAnswer(in, yesAt, yesText, q.yes)
}

func drawAnswer(a page.Area, x int, text string, on bool) {
	role := page.Plain
	if on {
		role, text = page.Chosen, "›"+text[1:]
	}
	a.Text(x, a.H()-2, role, text)
}
