package terminal

import (
	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/terminal/follow"
	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/cmd/holdbench/terminal/screens"
)

// root routes messages and sizes to the screens and ends the program.
type root struct {
	bench   *screens.Bench
	stack   []screens.Screen // the bench is the lowest
	leaving screens.Screen   // the question that an interrupt has put

	suspended *suspension // nil unless one is under way
	folder    string
	ascii     bool
	paint     *page.Paint
	server    *follow.Server // nil without one

	width, height int
	page          *page.Page
	text          string
}

// Init loads what is to be shown first.
func (r *root) Init() tea.Cmd { return r.bench.Init() }

// Update routes a message and draws the result once.
func (r *root) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	var cmd tea.Cmd
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		r.width, r.height = msg.Width, msg.Height
		cmd = tea.Batch(tea.ClearScreen, r.all(msg)) // terminals differ in what they do with the old screen
	case tea.KeyMsg:
		cmd = r.onKey(msg)
	case tea.MouseMsg:
		cmd = r.onMouse(msg)
	case screens.Open:
		cmd = r.open(msg.Screen)
	case screens.Close:
		r.stack = r.stack[:max(1, len(r.stack)-1)]
	case screens.Leave:
		cmd = tea.Quit
	case tea.ResumeMsg:
		r.resumed()
	case screens.SaveScreen:
		cmd = r.save()
	default:
		cmd = r.all(msg)
	}
	if _, frame := msg.(screens.Frame); !frame { // a frame alone changes nothing on the screen
		r.draw()
	}
	return r, cmd
}

// View is what the last update drew.
func (r *root) View() string { return r.text }

// all hands a message to every screen, the topmost first.
func (r *root) all(msg tea.Msg) tea.Cmd {
	var list []tea.Cmd
	for i := len(r.stack) - 1; i >= 0; i-- {
		_, cmd := r.stack[i].Update(msg)
		list = append(list, cmd)
	}
	return tea.Batch(list...)
}

func (r *root) top() screens.Screen { return r.stack[len(r.stack)-1] }

// open lays a screen over the others and tells it its size.
func (r *root) open(s screens.Screen) tea.Cmd {
	r.stack = append(r.stack, s)
	_, cmd := s.Update(tea.WindowSizeMsg{Width: r.width, Height: r.height})
	return tea.Batch(s.Init(), cmd)
}

func (r *root) onKey(msg tea.KeyMsg) tea.Cmd {
	switch {
	case msg.Type == tea.KeyCtrlC:
		return r.interrupt()
	case msg.Type == tea.KeyCtrlZ:
		return r.suspend()
	case len(msg.Runes) > 1 && !msg.Paste && !r.top().Typing():
		return r.eachRune(msg)
	}
	for i := len(r.stack) - 1; i >= 0; i-- {
		if taken, cmd := r.stack[i].Update(msg); taken {
			return cmd
		}
	}
	return nil
}

// eachRune takes keys that came at once for what they are: one after the other.
func (r *root) eachRune(msg tea.KeyMsg) tea.Cmd {
	var list []tea.Cmd
	for _, k := range msg.Runes {
		list = append(list, r.onKey(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{k}, Alt: msg.Alt}))
	}
	return tea.Batch(list...)
}

// interrupt leaves at once if nothing would be lost, and else the second time.
func (r *root) interrupt() tea.Cmd {
	if r.top() == r.leaving || !r.bench.Changed() {
		return tea.Quit
	}
	r.leaving = r.bench.AskToLeave()
	return r.open(r.leaving)
}

func (r *root) onMouse(msg tea.MouseMsg) tea.Cmd {
	for i := len(r.stack) - 1; i >= 0; i-- {
		if !r.stack[i].Place(r.width, max(0, r.height-1)).Has(msg.X, msg.Y) {
			continue
		}
		if taken, cmd := r.stack[i].Update(msg); taken {
			return cmd
		}
	}
	return nil
}

// draw makes the page anew.
func (r *root) draw() {
	r.page = page.New(r.width, r.height, r.ascii)
	a := r.page.Area()
	w, h := a.W(), max(0, a.H()-1)
	for _, s := range r.stack {
		at := s.Place(w, h)
		part := a.Sub(at.X, at.Y, at.W, at.H)
		part.Fill(' ', page.Plain)
		s.Draw(part)
	}
	screens.DrawHints(a.Sub(0, h, w, 1), r.top().Keys())
	r.text = page.Trimmed(r.page.ANSI(r.paint)) // the renderer erases the rest of a shorter line
	if r.server != nil {
		r.server.Show(r.bench.Snapshot(), r.bench.TruthLocked())
	}
}
