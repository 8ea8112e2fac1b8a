package screens

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/internal/caution"
	"holdbench/cmd/holdbench/terminal/page"
)

// helpGroup is a part of the keys under a title.
type helpGroup struct {
	Title string
	Keys  []key.Binding
}

// helpScreen shows the cautions, every key, and what is on the screen.
type helpScreen struct {
	panel
	groups []helpGroup
	offset int // rows
}

// newHelp makes the page of help.
func newHelp(groups []helpGroup) *helpScreen {
	return &helpScreen{panel: newPanel(150, 60), groups: groups}
}

// helpCautions come first: they must be seen without scrolling.
func helpCautions() []passage { return []passage{{page.Caution, 0, caution.Whole}, {}} }

// helpSigns explains what is on the screen.
func helpSigns() []passage {
	return []passage{
		{page.Heading, 0, "What the screen shows"},
		{page.Plain, 0, "One run of a rig, its sequence and its judge. Transitions are shown with their conditions and the values that the sequence reads: " +
			"✓\u00a0met, ✗\u00a0not met. A transition is ✓ when it fires now, ◷ while only its time runs, ✗ otherwise; ⇒ is the next one expected. " +
			"•\u00a0marks truth, which only the plant knows; ≠\u00a0marks where a measured value differs from it; ⚠\u00a0stands before an alarm. " +
			"Events: ▸\u00a0state, ◇\u00a0operator, ▲\u00a0fault, §\u00a0judge, ▮\u00a0brake, ~\u00a0drive, •\u00a0truth, ✗\u00a0broken obligation, ■\u00a0end. " +
			"Curves: m motor torque, b brake torque, c brake capacity, d demanded torque, p measured position, l load position, " +
			"e earlier run, n nominal run without faults. Torque bars: [ ] capacity of the brake now, ( ) capacity that counts: closed, at rest, and lasting, ┊ required test torque, ╎ ceiling. " +
			"A change in the past starts a new run from there; the run before it is kept as the earlier run."},
	}
}

// Place is as high as the text on a large screen.
func (h *helpScreen) Place(w, height int) Rect {
	r := h.panel.Place(w, height)
	if !h.boxed(r.W) {
		return r
	}
	const frame = 2
	tall := min(r.H, h.rows(r.W-4)+frame)
	return Rect{r.X, r.Y + (r.H-tall)/2, r.W, tall}
}

// Typing is never so.
func (h *helpScreen) Typing() bool { return false }

// Keys are those that read and close.
func (h *helpScreen) Keys() []key.Binding {
	return []key.Binding{meaning(h.keys.moving, "scroll"), h.keys.Away}
}

// Update takes every key but the one that ends the program.
func (h *helpScreen) Update(msg tea.Msg) (bool, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		h.size = msg
		h.read(0)
	case tea.MouseMsg:
		h.read(wheel(msg))
		return true, nil
	case tea.KeyMsg:
		if interrupted(msg) {
			return false, nil
		}
		return true, h.onKey(msg)
	}
	return false, nil
}

func (h *helpScreen) onKey(msg tea.KeyMsg) tea.Cmd {
	window := h.within(h.Place).H
	switch k := &h.keys; {
	case key.Matches(msg, k.Away):
		return Send(Close{})
	case key.Matches(msg, k.Up):
		h.read(-1)
	case key.Matches(msg, k.Down):
		h.read(1)
	case key.Matches(msg, k.PageUp):
		h.read(1 - window)
	case key.Matches(msg, k.PageDown):
		h.read(window - 1)
	case key.Matches(msg, k.First):
		h.offset = 0
	case key.Matches(msg, k.Last):
		h.read(h.rows(h.within(h.Place).W))
	}
	return nil
}

// read scrolls by rows.
func (h *helpScreen) read(by int) {
	in := h.within(h.Place)
	h.offset = scrolled(h.offset, by, h.rows(in.W), in.H)
}

func (h *helpScreen) rows(w int) int { return h.write(page.New(w, 0, false).Area(), 0) }

// Draw draws the part that is read.
func (h *helpScreen) Draw(a page.Area) {
	in := h.frame(a, "Help")
	rows := h.write(in, -h.offset)
	drawMore(in, h.offset, rows)
}

// write draws everything from row y on and returns how many rows it takes. The last
// column is left for the signs that there is more.
func (h *helpScreen) write(a page.Area, y int) int {
	prose, keys := a.Sub(0, 0, min(a.W()-2, proseWidth), a.H()), a.Sub(0, 0, a.W()-2, a.H())
	rows := drawPassages(prose, y, helpCautions())
	rows += h.writeGroups(keys, y+rows)
	return rows + drawPassages(prose, y+rows, helpSigns())
}

const (
	proseWidth = 100 // longer lines are hard to read
	helpColumn = 25  // least width of a column of keys: three fit on the smallest screen
	helpKey    = 6   // width of a key
)

// writeGroups draws the groups in as many columns as fit, each group whole.
func (h *helpScreen) writeGroups(a page.Area, y int) int {
	columns := max(1, a.W()/helpColumn)
	width, most := a.W()/columns, 0
	for i, groups := range inColumns(h.groups, columns) {
		rows := 0
		for _, g := range groups {
			rows += writeGroup(a.Sub(i*width, 0, width-1, a.H()), y+rows, g)
		}
		most = max(most, rows)
	}
	return most
}

// inColumns fills columns with groups one after the other, so that the highest column is
// as low as it can be.
func inColumns(groups []helpGroup, columns int) [][]helpGroup {
	for height := 1; ; height++ {
		if list, fit := packed(groups, height); fit && len(list) <= columns {
			return list
		}
	}
}

// packed fills columns of a height; it tells whether every group is low enough.
func packed(groups []helpGroup, height int) ([][]helpGroup, bool) {
	var list [][]helpGroup
	free := 0
	for _, g := range groups {
		rows := len(g.Keys) + 2
		if rows > height {
			return nil, false
		}
		if rows > free {
			list, free = append(list, nil), height
		}
		list[len(list)-1] = append(list[len(list)-1], g)
		free -= rows
	}
	return list, true
}

// writeGroup draws a group and a blank row, and returns their number.
func writeGroup(a page.Area, y int, g helpGroup) int {
	a.Text(0, y, page.Heading, g.Title)
	for i, k := range g.Keys {
		a.Fit(0, y+1+i, page.Key, k.Help().Key)
		a.Fit(helpKey, y+1+i, page.Plain, k.Help().Desc)
	}
	return len(g.Keys) + 2
}
