package screens

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/scenarios"
	"holdbench/sim"
)

// differencesScreen lists all that a run has otherwise than its document, and undoes each or all of it.
type differencesScreen struct {
	panel
	document, played sim.Scenario
	differences      []difference
	list             picker
}

// playScenario orders a run of a scenario from its start.
type playScenario struct{ Scenario sim.Scenario }

// undoAll is the kind of the row that undoes everything.
const undoAll = differenceKinds

// newDifferences makes the panel for a run as it was played, beside its document and what was given in its place as it
// was loaded.
func newDifferences(document, played *sim.Scenario, given *scenarios.Overrides) *differencesScreen {
	undone, parts := differencesOf(document, played), otherParts(document, given)
	d := &differencesScreen{panel: newPanel(120, 40), document: *document, played: *played, differences: append(undone, parts...)}
	var rows []choice
	if len(undone) > 0 {
		all := "run again as the document has it"
		if len(parts) > 0 {
			all += ", on the parts below"
		}
		rows = append(rows, choice{kind: undoAll, name: "undo all", about: all, pinned: true})
	}
	for i := range d.differences {
		x := &d.differences[i]
		group := [...]string{"values", "faults", "faults", "actions of the operator", "parts"}[x.kind]
		rows = append(rows, choice{group: group, name: x.name, about: givenBy(x, played, given) + x.about, place: i, kind: x.kind})
	}
	d.list = newPicker(rows)
	return d
}

// givenBy says of a value that it was given as the scenario was loaded, empty for all else.
func givenBy(x *difference, played *sim.Scenario, given *scenarios.Overrides) string {
	switch text, set := given.Set[x.key]; {
	case x.key == seedKey && given.Seed == played.Seed:
		return "given with --seed or chosen with l; "
	case set && played.Set[x.key] == text:
		return "set on the command line; "
	}
	return ""
}

// Typing is so while the list is searched.
func (d *differencesScreen) Typing() bool { return true }

// Keys are those of the list.
func (d *differencesScreen) Keys() []key.Binding {
	if len(d.differences) == 0 {
		return []key.Binding{d.keys.Close}
	}
	list := []key.Binding{d.keys.moving, hint("letters", "search"), d.keys.Close}
	if c, ok := d.list.now(); ok && c.kind != otherPart {
		list = append([]key.Binding{meaning(d.keys.Take, "undo, and run again")}, list...)
	}
	return list
}

// Update takes every key but the one that ends the program.
func (d *differencesScreen) Update(msg tea.Msg) (bool, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		d.size = msg
	case tea.MouseMsg:
		return true, d.onMouse(msg)
	case tea.KeyMsg:
		if interrupted(msg) {
			return false, nil
		}
		return true, d.onKey(msg)
	}
	return false, nil
}

func (d *differencesScreen) onKey(msg tea.KeyMsg) tea.Cmd {
	switch k := &d.keys; {
	case key.Matches(msg, k.Close):
		return Send(Close{})
	case key.Matches(msg, k.Take):
		return d.take()
	}
	d.list.key(msg, &d.keys, d.listRows(d.room().H))
	return nil
}

// take runs again without the difference that is chosen, or without any.
func (d *differencesScreen) take() tea.Cmd {
	c, ok := d.list.now()
	switch {
	case !ok, c.kind == otherPart:
		return nil
	case c.kind == undoAll:
		return both(Close{}, playScenario{d.document.Clone()})
	}
	return both(Close{}, playScenario{d.differences[c.place].undo(d.played)})
}

func (d *differencesScreen) onMouse(msg tea.MouseMsg) tea.Cmd {
	in := d.room()
	_, y, ok := clicked(msg, in)
	switch by := wheel(msg); {
	case by != 0:
		d.list.move(by, d.listRows(in.H))
	case ok:
		if hit, again := d.list.click(y-listTop, d.listRows(in.H)); hit && again {
			return d.take()
		}
	}
	return nil
}

func (d *differencesScreen) listRows(h int) int { return max(1, h-listTop) }

// Draw draws the list.
func (d *differencesScreen) Draw(a page.Area) {
	in := d.frame(a, "Changes")
	if len(d.differences) == 0 {
		drawPassages(in, 0, []passage{{page.Plain, 0, "The run is as its document has it: no value, fault or action of the operator differs."}})
		return
	}
	drawSearch(in, &d.list, true)
	in.Right(1, page.Faint, counted(d.differences)+" that the document does not have")
	d.list.draw(in.Sub(0, listTop, in.W(), d.listRows(in.H())))
}
