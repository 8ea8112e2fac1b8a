package screens

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"holdbench/scenarios"
)

// chooseNow is what is on the bench, and where files are looked for.
type chooseNow struct {
	Reference string
	Overrides scenarios.Overrides
	Folder    string
}

// chooseScreen finds a scenario, and another rig, sequence or seed for it.
type chooseScreen struct {
	panel
	now   chooseNow
	lists [3]picker // by field
	seed  textField
	field int // that has the keys

	previews map[wanted]*preview
	loading  bool
	running  bool   // as soon as the preview is there
	read     wanted // whose preview is read
	offset   int    // rows of it
	wrong    string
}

// The fields, in the order in which a key goes round.
const (
	scenarioField = iota
	rigField
	sequenceField
	seedField
	chooseFields // how many there are
)

// newChoose makes the panel, if shown at the scenario that is on the bench.
func newChoose(now chooseNow, shown bool) *chooseScreen {
	c := &chooseScreen{panel: newPanel(150, 50), now: now, previews: map[wanted]*preview{}}
	c.lists[scenarioField] = newPicker(builtinScenarios())
	c.lists[rigField] = newPicker(withOwn(scenarios.RigKind, "title"))
	c.lists[sequenceField] = newPicker(withOwn(scenarios.SequenceKind, "note"))
	for i := range c.lists {
		c.lists[i].typed = typedFile
	}
	if shown {
		c.lists[scenarioField].start(now.Reference)
	}
	c.lists[rigField].start(now.Overrides.Rig)
	c.lists[sequenceField].start(now.Overrides.Sequence)
	c.seed = newTextField("", "the scenario's own")
	if now.Overrides.Seed != 0 {
		c.seed.set(strconv.FormatUint(now.Overrides.Seed, 10))
	}
	return c
}

// Typing is so in every field.
func (c *chooseScreen) Typing() bool { return true }

// Keys are those of all fields.
func (c *chooseScreen) Keys() []key.Binding {
	k := &c.keys
	list := []key.Binding{meaning(k.Take, "run"), k.between}
	if c.field != seedField {
		list = append(list, k.moving, hint("letters", "search"))
	}
	if rows, window := c.previewSize(); rows > window {
		list = append(list, k.reading)
	}
	return append(list, k.Close)
}

// Init begins to read.
func (c *chooseScreen) Init() tea.Cmd { return tea.Batch(c.listFolder, c.readPreview()) }

// Update takes every key but the one that ends the program.
func (c *chooseScreen) Update(msg tea.Msg) (bool, tea.Cmd) {
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
	case listed:
		if msg.of == c {
			c.onListed(msg)
			return true, c.readPreview()
		}
	case previewed:
		if msg.of == c {
			return true, c.onPreviewed(msg)
		}
	}
	return false, nil
}

func (c *chooseScreen) onListed(l listed) {
	p := &c.lists[scenarioField]
	if l.err != nil {
		c.wrong = l.err.Error()
	}
	c.lists[scenarioField].fill(append(p.all, l.rows...))
}

func (c *chooseScreen) onKey(msg tea.KeyMsg) tea.Cmd {
	c.running, c.wrong = false, ""
	switch k := &c.keys; {
	case key.Matches(msg, k.Close):
		return Send(Close{})
	case key.Matches(msg, k.Take):
		return c.run()
	case key.Matches(msg, k.Next):
		c.field = (c.field + 1) % chooseFields
	case key.Matches(msg, k.Previous):
		c.field = (c.field + chooseFields - 1) % chooseFields
	case key.Matches(msg, k.ReadUp):
		c.scroll(-wheelRows)
	case key.Matches(msg, k.ReadDown):
		c.scroll(wheelRows)
	case c.field == seedField:
		c.seed.update(msg)
	default:
		c.lists[c.field].key(msg, k, c.layout(c.room()).list.H)
	}
	return c.readPreview()
}

func (c *chooseScreen) onMouse(msg tea.MouseMsg) tea.Cmd {
	in := c.room()
	l := c.layout(in)
	x, y, ok := clicked(msg, in)
	by := wheel(msg)
	switch {
	case by != 0 && l.preview.Has(msg.X-in.X, msg.Y-in.Y):
		c.scroll(by)
	case by != 0 && c.field != seedField:
		c.lists[c.field].move(by, l.list.H)
	case !ok:
	case y < chooseFields && x < l.list.W:
		c.field = y
	case l.list.Has(x, y) && c.field != seedField:
		if hit, again := c.lists[c.field].click(y-l.list.Y, l.list.H); hit && again {
			return c.run()
		}
	}
	return c.readPreview()
}

// ref is what is chosen in a field, empty for the scenario's own.
func (c *chooseScreen) ref(field int) string {
	row, _ := c.lists[field].now()
	return row.ref
}

// wants is what is chosen now, or what is wrong with it.
func (c *chooseScreen) wants() (wanted, error) {
	w := wanted{reference: c.ref(scenarioField), rig: c.ref(rigField), sequence: c.ref(sequenceField)}
	for i, what := range []string{"scenario", "rig", "sequence"} {
		if _, ok := c.lists[i].now(); !ok {
			return w, fmt.Errorf("no %s matches %q", what, c.lists[i].filter.text())
		}
	}
	text := strings.TrimSpace(c.seed.text())
	if text == "" {
		return w, nil
	}
	seed, err := strconv.ParseUint(text, 10, 64)
	if err != nil || seed == 0 {
		return w, fmt.Errorf("seed is %q; must be a whole number from 1, or nothing for the scenario's own", text)
	}
	w.seed = seed
	return w, nil
}

// overrides are the parts that replace the scenario's. What was set on the command line
// belongs to the scenario that it was set for.
func (c *chooseScreen) overrides(w wanted) scenarios.Overrides {
	o := scenarios.Overrides{Rig: w.rig, Sequence: w.sequence, Seed: w.seed, Outside: c.now.Overrides.Outside, Reach: c.now.Overrides.Reach}
	if w.reference == c.now.Reference {
		o.Set = c.now.Overrides.Set
	}
	return o
}

// run sends what is chosen once it is checked.
func (c *chooseScreen) run() tea.Cmd {
	w, err := c.wants()
	if err != nil {
		c.wrong = err.Error()
		return nil
	}
	p, known := c.previews[w]
	switch {
	case !known:
		c.running = true
		return c.readPreview()
	case p.bad:
		c.wrong = "it cannot run; the reason is in the preview"
		return nil
	}
	return both(Close{}, Chosen{Reference: w.reference, Overrides: c.overrides(w)})
}

// scroll reads on in the preview.
func (c *chooseScreen) scroll(by int) {
	rows, window := c.previewSize()
	c.offset = scrolled(c.offset, by, rows, window)
}
