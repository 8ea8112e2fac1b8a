package screens

import (
	"maps"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/plant/problem"
	"holdbench/sim"
)

// valuesScreen changes what a scenario may set and runs again with all changes.
type valuesScreen struct {
	panel
	c       *sim.Case
	own     map[string]string // set by the document of the scenario
	given   map[string]string // set on the command line
	set     map[string]string // with the changes
	tried   *sim.Case         // with set
	rows    []setting
	list    picker
	edit    *valueRow // the value that is being edited
	wrong   string
	warning string
}

// leaveValues is the question whether changes may be lost.
type leaveValues struct{ of *valuesScreen }

// The kinds of rows in the list.
const (
	settingRow = iota
	againRow
)

// newValues makes the panel for a case, and for what the document of its scenario and the command line set.
func newValues(c *sim.Case, own, given map[string]string) *valuesScreen {
	set := maps.Clone(c.Scenario.Set)
	if set == nil {
		set = map[string]string{}
	}
	v := &valuesScreen{panel: newPanel(120, 50), c: c, own: own, given: given, set: set, tried: c}
	v.rows = settingsOf(c)
	v.list = newPicker(nil)
	v.refresh()
	return v
}

// refresh makes the rows of the list from what is set now.
func (v *valuesScreen) refresh() {
	again := choice{kind: againRow, name: "run again", about: "nothing is changed yet", pinned: true}
	earlier := len(otherValues(v.own, v.c.Scenario.Set))
	switch n := len(v.changes()); {
	case n > 0:
		again.about = "with " + page.Counted(n, "change")
	case earlier > 0:
		again.about = "nothing is changed here yet; not of the document: " + page.Counted(earlier, "value")
	}
	all := []choice{again}
	present := presentValues(v.tried)
	for i := range v.rows {
		r := &v.rows[i]
		c := choice{group: r.group, name: r.key, about: withUnit(present[r.key], r.unit), place: i}
		_, set := v.set[r.key]
		switch {
		case v.changed(r.key):
			c.mark, c.tag = '≠', "changed"
		case v.setBy(r.key) == byCommandLine:
			c.mark, c.tag = '≠', "command line"
		case v.changedBefore(r.key):
			c.mark, c.tag = '≠', "changed before"
		case set:
			c.mark, c.tag = '=', "set"
		}
		all = append(all, c)
	}
	was, _ := v.list.now()
	v.list.all = all
	top := v.list.top
	v.list.search()
	v.list.moveTo(func(c *choice) bool { return c.kind == was.kind && c.place == was.place })
	v.list.top = top
}

// changed is whether a key is set otherwise than in the case.
func (v *valuesScreen) changed(key string) bool {
	before, had := v.c.Scenario.Set[key]
	now, has := v.set[key]
	return had != has || !sameValue(key, before, now)
}

// changedBefore is whether the case has a key otherwise than its document.
func (v *valuesScreen) changedBefore(key string) bool {
	before, had := v.own[key]
	now, has := v.c.Scenario.Set[key]
	return had != has || !sameValue(key, before, now)
}

// What sets a value of the case, other than the person at the bench.
const (
	byScenario    = "the scenario"
	byCommandLine = "the command line"
)

// setBy is what sets a value of the case, empty if it is the person at the bench or nothing.
func (v *valuesScreen) setBy(key string) string {
	now, set := v.c.Scenario.Set[key]
	given, ok := v.given[key]
	switch {
	case set && !v.changedBefore(key):
		return byScenario
	case set && ok && now == given:
		return byCommandLine
	}
	return ""
}

// changes are the keys that are set otherwise, by name.
func (v *valuesScreen) changes() []string {
	keys := maps.Clone(v.set)
	for key := range v.c.Scenario.Set {
		keys[key] = ""
	}
	var list []string
	for _, key := range slices.Sorted(maps.Keys(keys)) {
		if v.changed(key) {
			list = append(list, key)
		}
	}
	return list
}

// Typing is so in the list and in a value.
func (v *valuesScreen) Typing() bool { return true }

// Keys are those of the list or of the value that is written.
func (v *valuesScreen) Keys() []key.Binding {
	k := &v.keys
	if v.edit != nil {
		list := []key.Binding{k.Take, hint("empty", "original value")}
		if len(v.edit.words.found) > 0 {
			list = append(list, k.stepping)
		}
		return append(list, meaning(k.Close, "discard"))
	}
	take := meaning(k.Take, "change")
	if c, ok := v.list.now(); ok && c.kind == againRow {
		take = meaning(k.Take, "run again")
	}
	return []key.Binding{take, k.moving, hint("letters", "search"), k.Again, k.Close}
}

// Update takes every key but the one that ends the program.
func (v *valuesScreen) Update(msg tea.Msg) (bool, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		v.size = msg
	case tea.MouseMsg:
		return true, v.onMouse(msg)
	case confirmed:
		if what, ok := msg.What.(leaveValues); ok && what.of == v {
			return true, Send(Close{})
		}
	case tea.KeyMsg:
		switch {
		case interrupted(msg):
			return false, nil
		case v.edit != nil:
			v.onEditKey(msg)
			return true, nil
		}
		return true, v.onKey(msg)
	}
	return false, nil
}

func (v *valuesScreen) onKey(msg tea.KeyMsg) tea.Cmd {
	v.wrong, v.warning = "", ""
	switch k := &v.keys; {
	case key.Matches(msg, k.Close):
		return v.leave()
	case key.Matches(msg, k.Again):
		return v.again()
	case key.Matches(msg, k.Take):
		return v.take()
	}
	v.list.key(msg, &v.keys, v.listRows(v.room().H))
	return nil
}

// leave asks before changes are lost.
func (v *valuesScreen) leave() tea.Cmd {
	n := len(v.changes())
	if n == 0 {
		return Send(Close{})
	}
	return Send(Open{newAsk("Leave without a run?", page.Counted(n, "change")+" would be lost.", leaveValues{v})})
}

// again runs with the changes.
func (v *valuesScreen) again() tea.Cmd {
	if len(v.changes()) == 0 {
		v.wrong = "nothing is changed yet; enter on a value changes it"
		return nil
	}
	return both(Close{}, setValues{maps.Clone(v.set)})
}

// take runs again on the first row, and begins to write a value on all others.
func (v *valuesScreen) take() tea.Cmd {
	c, ok := v.list.now()
	switch {
	case !ok:
	case c.kind == againRow:
		return v.again()
	default:
		v.begin(&v.rows[c.place])
	}
	return nil
}

// begin writes a value, from the one that it has.
func (v *valuesScreen) begin(r *setting) {
	text := presentValues(v.tried)[r.key]
	v.edit = &valueRow{
		key: r.key, unit: r.unit, field: newValueField(text, "original value"), words: newPicker(wordsOf(r.key, r.span)),
		before: v.inWords(v.tried, r), read: func(text string) string { return v.reading(r, text) },
	}
	v.edit.settle()
}

func (v *valuesScreen) onEditKey(msg tea.KeyMsg) {
	v.wrong = ""
	words := len(v.edit.words.found) > 0
	switch k := &v.keys; {
	case key.Matches(msg, k.Close):
		v.edit = nil
	case key.Matches(msg, k.Take):
		v.finish()
	case words && key.Matches(msg, k.Down):
		v.edit.step(1)
	case words && key.Matches(msg, k.Up):
		v.edit.step(-1)
	default:
		v.edit.field.update(msg)
		v.edit.settle()
	}
}

// finish takes the value that was written if the case can be built with it.
func (v *valuesScreen) finish() {
	name, text := v.edit.key, strings.TrimSpace(v.edit.field.text())
	set, tried, warnings, err := v.with(name, text)
	if err != nil {
		v.wrong = worst(err, name).Message
		return
	}
	v.set, v.tried, v.edit, v.warning = set, tried, nil, ""
	if len(warnings) > 0 {
		v.warning = warnings[0].Message
	}
	v.refresh()
}

// with is the case with another value of a key; an empty text is the one without the scenario's set.
func (v *valuesScreen) with(name, text string) (map[string]string, *sim.Case, []problem.Problem, error) {
	set := maps.Clone(v.set)
	if text == "" || v.asItIs(name, text) {
		delete(set, name)
	} else {
		set[name] = text
	}
	s := v.c.Scenario
	s.Set = set
	tried, warnings, err := v.c.With(s)
	return set, tried, warnings, err
}

// reading is what a text means as a value of a setting, empty if it cannot be used.
func (v *valuesScreen) reading(r *setting, text string) string {
	_, tried, _, err := v.with(r.key, text)
	if err != nil {
		return ""
	}
	return v.inWords(tried, r)
}

// inWords is the value of a setting with its unit, and of an expression what it evaluates to.
func (v *valuesScreen) inWords(c *sim.Case, r *setting) string {
	text := withUnit(presentValues(c)[r.key], r.unit)
	if figure := r.evaluated(c); figure != "" {
		text += " = " + figure
	}
	return text
}

// asItIs is whether a text is the value of a key that the scenario does not set.
func (v *valuesScreen) asItIs(name, text string) bool {
	_, set := v.c.Scenario.Set[name]
	return !set && sameValue(name, presentValues(v.c)[name], text)
}

// worst is the first problem, of the key if it has one.
func worst(err error, name string) problem.Problem {
	found := problem.Of(err)
	for _, p := range found {
		if p.Path == sim.SetPath(name) {
			return p
		}
	}
	return found[0]
}

func (v *valuesScreen) onMouse(msg tea.MouseMsg) tea.Cmd {
	in := v.room()
	_, y, ok := clicked(msg, in)
	switch by := wheel(msg); {
	case v.edit != nil:
	case by != 0:
		v.list.move(by, v.listRows(in.H))
	case ok:
		if hit, again := v.list.click(y-listTop, v.listRows(in.H)); hit && again {
			return v.take()
		}
	}
	return nil
}
