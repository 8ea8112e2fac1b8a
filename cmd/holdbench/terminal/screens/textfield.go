package screens

import (
	"github.com/charmbracelet/bubbles/textinput"
	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/terminal/page"
)

// textField is one line that is typed: the library's field, drawn on our page.
type textField struct {
	input textinput.Model
	empty string // shown while there is no text
	whole bool   // all of the text is selected: what is typed next replaces it
}

// mostTyped bounds what is typed or pasted.
const mostTyped = 400

// newTextField makes a field with a text; empty is shown where there is none.
func newTextField(value, empty string) textField {
	f := textField{input: textinput.New(), empty: empty}
	f.input.CharLimit = mostTyped
	f.input.Focus()
	f.set(value)
	return f
}

// newValueField makes a field with a present value, which the first sign that is typed replaces.
func newValueField(value, empty string) textField {
	f := newTextField(value, empty)
	f.whole = value != ""
	return f
}

func (f *textField) text() string { return f.input.Value() }

func (f *textField) set(value string) {
	f.input.SetValue(value)
	f.input.CursorEnd()
}

// update takes a key and tells whether the text is another. The command of the library's
// field is left: its blinking cursor is not ours, and what a terminal pastes comes as keys.
func (f *textField) update(msg tea.KeyMsg) (changed bool) {
	before := f.text()
	if f.whole && replaces(msg) {
		f.set("")
	}
	f.whole = false
	f.input, _ = f.input.Update(msg)
	return f.text() != before
}

// replaces is whether a key puts something in place of a selected text. Those that move the cursor keep it.
func replaces(msg tea.KeyMsg) bool {
	switch msg.Type {
	case tea.KeyRunes, tea.KeySpace, tea.KeyBackspace, tea.KeyDelete:
		return true
	}
	return false
}

// draw draws the text in the first row of an area, so far that the cursor is seen if the
// field has the keys. The cursor is an underscore behind the text or a reversed sign in it; a selected text is
// reversed.
func (f *textField) draw(a page.Area, active bool) {
	if !active {
		f.drawAtRest(a)
		return
	}
	if f.whole {
		x := a.Text(0, 0, page.Chosen, f.text())
		a.Text(x, 0, page.Key, "_")
		return
	}
	text, at := []rune(f.text()), f.input.Position()
	from := 0
	for from < at && a.Text(0, -1, page.Plain, string(text[from:at])+"_") >= a.W() {
		from++
	}
	a.Text(0, 0, page.Strong, string(text[from:]))
	column := a.Text(0, -1, page.Plain, string(text[from:at]))
	if at < len(text) {
		a.Set(column, 0, text[at], page.Chosen)
		return
	}
	a.Text(column, 0, page.Key, "_")
	if len(text) == 0 {
		a.Text(2, 0, page.Faint, f.empty)
	}
}

func (f *textField) drawAtRest(a page.Area) {
	if f.text() == "" {
		a.Fit(0, 0, page.Faint, f.empty)
		return
	}
	a.Fit(0, 0, page.Plain, f.text())
}
