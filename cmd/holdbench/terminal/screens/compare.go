package screens

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/terminal/page"
)

// compareScreen chooses run B, with which the run on the bench is compared.
type compareScreen struct {
	panel
	list picker
}

// newCompare lists the run without faults, earlier runs and, where nothing is hidden, all scenarios.
func newCompare(earlier []choice, hidden, on bool) *compareScreen {
	var rows []choice
	if on {
		rows = append(rows, choice{name: "no run B", about: "end the comparison", kind: int(noOther), pinned: true})
	}
	rows = append(rows, choice{group: "runs", name: withoutFaults, about: "the same scenario, to its end", kind: int(nominalOther)})
	rows = append(rows, earlier...)
	if !hidden {
		for _, c := range builtinScenarios() {
			c.kind = int(scenarioOther)
			rows = append(rows, c)
		}
	}
	c := &compareScreen{panel: newPanel(120, 40), list: newPicker(rows)}
	c.list.moveTo(func(c *choice) bool { return c.kind == int(nominalOther) })
	if !hidden {
		c.list.typed = func(text string) (choice, bool) {
			row, ok := typedFile(text)
			row.kind = int(scenarioOther)
			return row, ok
		}
	}
	return c
}

// Typing is so while the list is searched.
func (c *compareScreen) Typing() bool { return true }

// Keys are those of the list.
func (c *compareScreen) Keys() []key.Binding {
	return []key.Binding{meaning(c.keys.Take, "compare"), c.keys.moving, hint("letters", "search"), c.keys.Close}
}

// Update takes every key but the one that ends the program.
func (c *compareScreen) Update(msg tea.Msg) (bool, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		c.size = msg
	case tea.MouseMsg:
		return true, c.onMouse(msg)
	case tea.KeyMsg:
		if interrupted(msg) {
			return false, nil
		}
		return true, c.onKey(msg)
	}
	return false, nil
}

func (c *compareScreen) onKey(msg tea.KeyMsg) tea.Cmd {
	switch k := &c.keys; {
	case key.Matches(msg, k.Close):
		return Send(Close{})
	case key.Matches(msg, k.Take):
		return c.take()
	}
	c.list.key(msg, &c.keys, c.listRows(c.room().H))
	return nil
}

func (c *compareScreen) take() tea.Cmd {
	row, ok := c.list.now()
	if !ok {
		return nil
	}
	return both(Close{}, compareWith{kind: otherKind(row.kind), place: row.place, ref: row.ref, name: row.name})
}

func (c *compareScreen) onMouse(msg tea.MouseMsg) tea.Cmd {
	in := c.room()
	_, y, ok := clicked(msg, in)
	switch by := wheel(msg); {
	case by != 0:
		c.list.move(by, c.listRows(in.H))
	case ok:
		if hit, again := c.list.click(y-listTop, c.listRows(in.H)); hit && again {
			return c.take()
		}
	}
	return nil
}

func (c *compareScreen) listRows(h int) int { return max(1, h-listTop) }

// Draw draws the list.
func (c *compareScreen) Draw(a page.Area) {
	in := c.frame(a, "Compare with run B")
	drawSearch(in, &c.list, true)
	c.list.draw(in.Sub(0, listTop, in.W(), c.listRows(in.H())))
}
