// Package screens holds one model for each screen of the terminal bench. They know of
// one another only by messages.
package screens

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/scenarios"
	"holdbench/sim"
)

// Screen is one screen. Keys and mouse go to the topmost that takes them, every other
// message to all.
type Screen interface {
	// Init is what it does first.
	Init() tea.Cmd
	// Update takes a message and tells whether it was for this screen.
	Update(msg tea.Msg) (taken bool, cmd tea.Cmd)
	// Draw draws what the last update left; it changes nothing.
	Draw(a page.Area)
	// Place is the part of the whole area that the screen covers.
	Place(w, h int) Rect
	// Keys are those that it takes now, the most important first.
	Keys() []key.Binding
	// Typing is whether keys are text at the moment.
	Typing() bool
}

// Rect is a part of the screen in cells.
type Rect struct{ X, Y, W, H int }

// Has is whether a cell lies in it.
func (r Rect) Has(x, y int) bool { return x >= r.X && x < r.X+r.W && y >= r.Y && y < r.Y+r.H }

// The messages between screens. The root opens and closes, the bench does the rest.
type (
	// Open lays a screen over the others.
	Open struct{ Screen Screen }
	// Close takes the topmost screen away.
	Close struct{}
	// Notice is shown in a line until the next key.
	Notice struct {
		Text string
		Bad  bool
	}

	// Chosen loads a scenario anew with other parts; see [scenarios.LoadCase].
	Chosen struct {
		Reference string
		Overrides scenarios.Overrides
		Lesson    bool // its lesson of the course is to begin
	}
	// injectFault adds a fault to the run at the cursor.
	injectFault struct{ Fault sim.Fault }
	// removeFault takes a fault of the run away, by its place in [sim.View.Faults].
	removeFault struct{ Place int }
	// setValues runs again with other values; Set replaces that of the scenario.
	setValues struct{ Set map[string]string }
	// beginRun runs a case from its start; for a lesson it holds at the lesson's stops. Of a riddle it has the nominal
	// case and what is wrong in its data.
	beginRun struct {
		Case    *sim.Case
		Lesson  bool
		Nominal *sim.Case
		Data    map[string]string
	}
	// Play lets the run go on.
	Play struct{}
	// confirmed is the answer yes to a question; What tells which.
	confirmed struct{ What any }
	// RunKept tells that the run was written as a scenario.
	RunKept struct{ Path string }
	// SaveScreen saves the screen as a picture and as text.
	SaveScreen struct{}
	// Leave ends the program.
	Leave struct{}
)

// Send makes a command of a message.
func Send(msg tea.Msg) tea.Cmd { return func() tea.Msg { return msg } }

// both sends two messages in their order.
func both(first, second tea.Msg) tea.Cmd { return tea.Sequence(Send(first), Send(second)) }

// centred is a panel in the middle, the whole screen where there is no room to spare.
func centred(w, h, most, tall int) Rect {
	width, height := min(w, most), min(h, tall)
	if w < 100 {
		width = w
	}
	if h < 30 {
		height = h
	}
	return Rect{(w - width) / 2, (h - height) / 2, width, height}
}
