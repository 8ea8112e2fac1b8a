package screens

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/plant"
	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// faultForm is a fault that is being written: its values, its moment and how long it lasts.
type faultForm struct {
	name    string
	about   []passage
	values  []valueRow
	when    picker
	after   textField
	lasts   textField
	at      int  // row
	lasting bool // it cannot end within a run
	wrong   string

	usualFor time.Duration // how long it usually lasts, 0 for until the end
}

// permanent is what a fault is that does not end.
const permanent = "permanent"

// namedForm fills the form with a named fault of the usual severity.
func namedForm(p *injectScreen, f *catalogue.Entry) *faultForm {
	form := newForm(p, f.Name, f.Permanent)
	form.about = []passage{{page.Plain, 0, f.What}}
	if f.FromStart && p.view.Tick > 1 {
		form.about = append(form.about, passage{page.Caution, 0, "It is meaningful only from the start of a run: go back to the start to try it."})
	}
	if f.Duration > 0 {
		form.usualFor = f.Duration
		form.lasts = newValueField(f.Duration.String(), permanent)
	}
	set := f.Values(&p.ready.Rig, f.Usual())
	for _, target := range slices.Sorted(maps.Keys(set)) {
		row := p.valueRow(target, set[target])
		if s := f.Scale; s != nil && s.Target == target {
			row.words = newPicker(severities(s, &p.ready.Rig))
			row.settle()
		}
		form.values = append(form.values, row)
	}
	return form
}

// severities are the three degrees of a fault on a rig.
func severities(s *catalogue.Scale, r *plant.Rig) []choice {
	var list []choice
	for _, degree := range []struct {
		word   string
		number float64
	}{{"mild", s.Mild}, {"usual", s.Usual}, {"severe", s.Severe}} {
		about := degree.word
		if s.Unit != "" {
			about += fmt.Sprintf(": %.4g %s", degree.number, s.Unit)
		}
		list = append(list, choice{name: s.Text(r, degree.number), about: about})
	}
	return list
}

// targetForm fills the form with one value as it is; a flag is inverted.
func targetForm(p *injectScreen, t *sim.Target) *faultForm {
	form := newForm(p, t.Name, lastsInCatalogue(p.named, t.Name))
	row := p.valueRow(t.Name, p.present(t.Name))
	if text := row.field.text(); text == "true" || text == "false" {
		row.field.set(strconv.FormatBool(text == "false"))
		row.settle()
	}
	form.values = []valueRow{row}
	return form
}

// lastsInCatalogue is whether a permanent fault of the catalogue sets a value.
func lastsInCatalogue(named []catalogue.Entry, target string) bool {
	for i := range named {
		f := &named[i]
		if !f.Permanent {
			continue
		}
		for set := range f.Set {
			if strings.HasSuffix(target, set) {
				return true
			}
		}
		if f.Scale != nil && strings.HasSuffix(target, f.Scale.Target) {
			return true
		}
	}
	return false
}

func newForm(p *injectScreen, name string, lasting bool) *faultForm {
	return &faultForm{
		name: name, lasting: lasting, when: newPicker(p.moments),
		after: newTextField("", "no delay"), lasts: newValueField("", permanent),
	}
}

// present is a value as it is now; the flags of the link are assumed off.
func (p *injectScreen) present(target string) string {
	if button, ok := strings.CutPrefix(target, "operator."); ok {
		return strconv.FormatBool(p.view.Buttons[button])
	}
	if f, ok := plant.FindField(target); ok {
		return f.Text(&p.view.Rig)
	}
	return "false"
}

// moments are now, and the entry of each state.
func moments(view *sim.View, states []string) []choice {
	list := []choice{{name: "now", about: fmt.Sprintf("at %.3f s", view.TS), pinned: true}}
	entered := enteredStates(view, states)
	for _, name := range states {
		c := choice{name: "in " + name, ref: name}
		if entered[name] {
			c.tag = "entered already"
		}
		list = append(list, c)
	}
	return list
}

// enteredStates are the states that the run has been in.
func enteredStates(view *sim.View, states []string) map[string]bool {
	entered := map[string]bool{}
	if view.State >= 0 && view.State < len(states) {
		entered[states[view.State]] = true
	}
	for i := range view.Events {
		e := &view.Events[i]
		if e.EntersState() {
			entered[e.Snapshot.State], entered[e.Subject] = true, true
		}
	}
	return entered
}

// The rows of a form below the values.
const (
	rowWhen = iota
	rowAfter
	rowFor
)

// below lists the rows under the values that make sense.
func (f *faultForm) below() []int {
	list := []int{rowWhen}
	if f.state() != "" {
		list = append(list, rowAfter)
	}
	if !f.lasting {
		list = append(list, rowFor)
	}
	return list
}

// state is the one that the fault waits for, empty if it comes now.
func (f *faultForm) state() string {
	c, _ := f.when.now()
	return c.ref
}

// value is the row of a value that has the keys, nil if it is another row.
func (f *faultForm) value() *valueRow {
	if f.at < len(f.values) {
		return &f.values[f.at]
	}
	return nil
}

// part is the row under the values that has the keys.
func (f *faultForm) part() int { return f.below()[f.at-len(f.values)] }

func (f *faultForm) count() int { return len(f.values) + len(f.below()) }

// hasList is whether up and down choose something.
func (f *faultForm) hasList() bool {
	if row := f.value(); row != nil {
		return len(row.words.found) > 0
	}
	return f.part() == rowWhen
}

// key moves between the rows and hands all else to the one that has the keys.
func (f *faultForm) key(msg tea.KeyMsg, k *panelKeys) {
	switch {
	case key.Matches(msg, k.Next):
		f.at = (f.at + 1) % f.count()
	case key.Matches(msg, k.Previous):
		f.at = (f.at + f.count() - 1) % f.count()
	case f.hasList():
		f.listKey(msg, k)
	case key.Matches(msg, k.Down, k.PageDown):
		f.at = min(f.at+1, f.count()-1)
	case key.Matches(msg, k.Up, k.PageUp):
		f.at = max(f.at-1, 0)
	default:
		f.write(msg)
	}
}

func (f *faultForm) listKey(msg tea.KeyMsg, k *panelKeys) {
	row := f.value()
	switch {
	case row == nil:
		f.when.key(msg, k, formListRows)
	case key.Matches(msg, k.Down):
		row.step(1)
	case key.Matches(msg, k.Up):
		row.step(-1)
	default:
		row.field.update(msg)
		row.settle()
	}
}

// formListRows is how far a page goes in the list of moments.
const formListRows = 8

func (f *faultForm) write(msg tea.KeyMsg) {
	switch row := f.value(); {
	case row != nil:
		row.field.update(msg)
	case f.part() == rowAfter:
		f.after.update(msg)
	default:
		f.lasts.update(msg)
	}
}

// mouse chooses a row of the form or of the list under it.
func (f *faultForm) mouse(y, by int, in Rect, ok bool) {
	top, list := f.tops(in.W)
	rows := in.H - list
	switch {
	case by != 0 && f.hasList() && f.value() == nil:
		f.when.move(by, rows)
	case !ok:
	case y >= top && y < top+f.count():
		f.at, f.wrong = y-top, ""
	case y >= list && f.hasList():
		f.clickList(y-list, rows)
	}
}

func (f *faultForm) clickList(y, rows int) {
	row := f.value()
	if row == nil {
		f.when.click(y, rows)
		return
	}
	if hit, _ := row.words.click(y, rows); hit {
		row.step(0)
	}
}
