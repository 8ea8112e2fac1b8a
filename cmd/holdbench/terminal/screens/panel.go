package screens

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/terminal/page"
)

// panelKeys are the keys of all panels, for matching and for help.
type panelKeys struct {
	Take, Next, Previous, Close, Back         key.Binding
	Up, Down, PageUp, PageDown, First, Last   key.Binding
	ReadUp, ReadDown, Again, Yes, No, Aside   key.Binding
	Away                                      key.Binding // Close and more, where nothing is typed
	moving, reading, between, stepping, other key.Binding // two or more of the others in one hint
}

func newPanelKeys() panelKeys {
	return panelKeys{
		Take: bind("take", "enter"), Next: bind("next field", "tab"), Previous: bind("previous field", "shift+tab"),
		Close: bind("close", "esc"), Back: bind("back", "esc", "left", "backspace"),
		Up: bind("up", "up"), Down: bind("down", "down"), PageUp: bind("page up", "pgup"), PageDown: bind("page down", "pgdown"),
		First: bind("first", "home"), Last: bind("last", "end"),
		ReadUp: bind("scroll up", "ctrl+up", "shift+up"), ReadDown: bind("scroll down", "ctrl+down", "shift+down"),
		Again: bind("run again", "ctrl+r"), Yes: bind("yes", "y", "Y"), No: bind("no", "n", "N"),
		Aside: bind("the other", "left", "right", "tab", "shift+tab", "up", "down"),
		Away:  bind("close", "esc", "enter", "?", "q"),

		moving:   hint("↑↓", "move"),
		reading:  hint("ctrl+↑↓", "scroll"),
		between:  hint("tab", "next field"),
		stepping: hint("↑↓", "next word"),
		other:    hint("←→", "the other"),
	}
}

func bind(help string, keys ...string) key.Binding {
	return key.NewBinding(key.WithKeys(keys...), key.WithHelp(shown(keys[0]), help))
}

// shown is a key as help writes it.
func shown(k string) string {
	if k == " " {
		return "space"
	}
	return k
}

// hint stands for keys that are matched one by one.
func hint(keys, help string) key.Binding {
	return key.NewBinding(key.WithKeys(keys), key.WithHelp(keys, help))
}

// meaning is a key under the words that fit the moment.
func meaning(k key.Binding, help string) key.Binding {
	k.SetHelp(k.Help().Key, help)
	return k
}

// panel is what all panels share: their keys, their place and their frame.
type panel struct {
	keys       panelKeys
	size       tea.WindowSizeMsg // of the whole screen, nothing before the first message
	most, tall int               // cells that it needs at most
}

func newPanel(most, tall int) panel { return panel{keys: newPanelKeys(), most: most, tall: tall} }

// Init does nothing: what a panel shows is there from the start.
func (p *panel) Init() tea.Cmd { return nil }

// Place is in the middle, or everything on a small screen.
func (p *panel) Place(w, h int) Rect { return centred(w, h, p.most, p.tall) }

// boxed is whether lines at the sides part it from what is behind it.
func (p *panel) boxed(w int) bool { return w < p.size.Width }

// inside is what the frame leaves of a rectangle.
func (p *panel) inside(r Rect) Rect {
	if p.boxed(r.W) {
		return Rect{r.X + 2, r.Y + 1, max(0, r.W-4), max(0, r.H-2)}
	}
	return Rect{r.X + 1, r.Y + 1, max(0, r.W-2), max(0, r.H-1)}
}

// room is the inside on the screen as it is.
func (p *panel) room() Rect { return p.within(p.Place) }

// within is the same for a panel with a place of its own. The lowest row of the screen
// belongs to the keys of whatever is on top.
func (p *panel) within(place func(w, h int) Rect) Rect {
	return p.inside(place(p.size.Width, max(0, p.size.Height-1)))
}

// frame draws the frame and gives the area inside. The keys stand in the row
// below all screens.
func (p *panel) frame(a page.Area, title string) page.Area {
	a.Fill(' ', page.Plain)
	a.Rule(0, title)
	if p.boxed(a.W()) {
		drawBox(a)
	}
	in := p.inside(Rect{0, 0, a.W(), a.H()})
	return a.Sub(in.X, in.Y, in.W, in.H)
}

// drawBox adds sides and a bottom to the rule at the top.
func drawBox(a page.Area) {
	right, bottom := a.W()-1, a.H()-1
	a.VLine(0, 1, bottom-1, page.Faint)
	a.VLine(right, 1, bottom-1, page.Faint)
	a.HLine(0, bottom, a.W(), page.Faint)
	a.Set(0, 0, '┌', page.Faint)
	a.Set(right, 0, '┐', page.Faint)
	a.Set(0, bottom, '└', page.Faint)
	a.Set(right, bottom, '┘', page.Faint)
}

// interrupted is the one key that no panel takes.
func interrupted(msg tea.KeyMsg) bool { return msg.Type == tea.KeyCtrlC }

// clicked tells which cell of the inside was clicked.
func clicked(msg tea.MouseMsg, in Rect) (x, y int, ok bool) {
	if msg.Button != tea.MouseButtonLeft || msg.Action != tea.MouseActionPress || !in.Has(msg.X, msg.Y) {
		return 0, 0, false
	}
	return msg.X - in.X, msg.Y - in.Y, true
}

// wheel is how many rows the wheel turned, down is positive.
func wheel(msg tea.MouseMsg) int {
	switch msg.Button {
	case tea.MouseButtonWheelUp:
		return -wheelRows
	case tea.MouseButtonWheelDown:
		return wheelRows
	}
	return 0
}

const wheelRows = 3

// passage is a piece of text with a role, for pages that are read. It is wrapped, unless it
// begins with a blank: then it is a line whose blanks matter.
type passage struct {
	role   page.Role
	indent int
	text   string
}

// drawPassages draws them from row y downwards, each on lines of its own, and returns how
// many rows they take.
func drawPassages(a page.Area, y int, list []passage) (rows int) {
	for _, p := range list {
		switch {
		case p.text == "":
			rows++
		case p.text[0] == ' ':
			a.Fit(p.indent, y+rows, p.role, p.text)
			rows++
		default:
			rows += a.Wrap(p.indent, y+rows, p.role, p.text)
		}
	}
	return rows
}

// rowsOf is how many rows passages take at a width.
func rowsOf(w int, list []passage) int {
	return drawPassages(page.New(w, 0, false).Area(), 0, list)
}

// scrolled is an offset moved by some rows, within a text that is read through a window.
func scrolled(offset, by, rows, window int) int {
	return max(0, min(offset+by, rows-window))
}
