package screens

import (
	"slices"

	"fmt"
	"math"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/plant"
	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// injectScreen removes faults of the run and adds others: named faults, and every single value that a
// fault can set.
type injectScreen struct {
	panel
	view    *sim.View
	ready   *sim.Case
	moments []choice
	named   []catalogue.Entry
	targets []sim.Target
	list    picker
	form    *faultForm // once something is chosen
	wrong   string
}

// The kinds of rows in the list.
const (
	faultInRun = iota
	faultNamed
	faultTarget
)

// newInject makes the panel for a moment of a run of a case.
func newInject(view *sim.View, c *sim.Case) *injectScreen {
	p := &injectScreen{panel: newPanel(120, 44), view: view, ready: c, named: catalogue.Entries(), targets: targetsOf(&c.Rig)}
	p.moments = moments(view, stateNames(c))
	var all []choice
	all = append(all, p.inRun()...)
	all = append(all, p.fitting()...)
	all = append(all, p.single()...)
	p.list = newPicker(all)
	return p
}

// targetsOf are all that a fault can change on a rig: one without a partner or a second brake has
// none there.
func targetsOf(rig *plant.Rig) []sim.Target {
	return slices.DeleteFunc(sim.Targets(), func(t sim.Target) bool {
		f, ok := plant.FindField(t.Name)
		return ok && !f.Applies(rig)
	})
}

// inRun are the faults that can still be taken away.
func (p *injectScreen) inRun() []choice {
	var list []choice
	for i, f := range p.view.Faults {
		if !f.Over {
			list = append(list, choice{group: "in this run: enter removes", name: f.What, about: faultState(&f), mark: '▲', place: i, kind: faultInRun})
		}
	}
	return list
}

// faultState is the state of a fault in words.
func faultState(f *sim.FaultView) string {
	switch {
	case f.Idle:
		return fmt.Sprintf("active since %.3f s, without effect", f.DueS)
	case f.Active:
		return fmt.Sprintf("active since %.3f s", f.DueS)
	case !math.IsNaN(f.DueS):
		return fmt.Sprintf("due at %.3f s", f.DueS)
	}
	return "pending, in state " + f.WaitsFor
}

// fitting are the named faults that make sense on the rig.
func (p *injectScreen) fitting() []choice {
	var list []choice
	for i := range p.named {
		if f := &p.named[i]; f.Fits(&p.ready.Rig) {
			list = append(list, choice{group: f.Group, name: f.Name, about: f.What, place: i, kind: faultNamed})
		}
	}
	return list
}

func (p *injectScreen) single() []choice {
	var list []choice
	for i, t := range p.targets {
		list = append(list, choice{group: "single values", name: t.Name, about: t.Note, place: i, kind: faultTarget})
	}
	return list
}

// Place is smaller for the form.
func (p *injectScreen) Place(w, h int) Rect {
	if p.form != nil {
		return centred(w, h, 100, 30)
	}
	return p.panel.Place(w, h)
}

// Typing is so in the list and in the form.
func (p *injectScreen) Typing() bool { return true }

// Keys are those of the list or of the form.
func (p *injectScreen) Keys() []key.Binding {
	k := &p.keys
	if p.form != nil {
		list := []key.Binding{meaning(k.Take, "inject"), k.between}
		if p.form.hasList() {
			list = append(list, meaning(k.moving, "choose"))
		}
		return append(list, meaning(k.Close, "back to the list"))
	}
	take := "choose"
	if c, ok := p.list.now(); ok && c.kind == faultInRun {
		take = "remove"
	}
	return []key.Binding{meaning(k.Take, take), k.moving, hint("letters", "search"), k.Close}
}

// Update takes every key but the one that ends the program.
func (p *injectScreen) Update(msg tea.Msg) (bool, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		p.size = msg
	case tea.MouseMsg:
		return true, p.onMouse(msg)
	case tea.KeyMsg:
		switch {
		case interrupted(msg):
			return false, nil
		case p.form != nil:
			return true, p.onFormKey(msg)
		}
		return true, p.onKey(msg)
	}
	return false, nil
}

func (p *injectScreen) onKey(msg tea.KeyMsg) tea.Cmd {
	p.wrong = ""
	switch k := &p.keys; {
	case key.Matches(msg, k.Close):
		return Send(Close{})
	case key.Matches(msg, k.Take):
		return p.take()
	}
	p.list.key(msg, &p.keys, p.listRows(p.within(p.Place).H))
	return nil
}

// take removes a fault or opens the form of one.
func (p *injectScreen) take() tea.Cmd {
	c, ok := p.list.now()
	switch {
	case !ok:
	case p.view.Done:
		p.wrong = overText
	case c.kind == faultInRun:
		return both(Close{}, removeFault{c.place})
	case c.kind == faultNamed && p.named[c.place].Settings != nil:
		p.wrong = beforeRun(&p.named[c.place])
	case c.kind == faultNamed:
		p.form = namedForm(p, &p.named[c.place])
	default:
		p.form = targetForm(p, &p.targets[c.place])
	}
	return nil
}

// beforeRun is how to have a fault that is a setting of a whole run.
func beforeRun(f *catalogue.Entry) string {
	return f.Name + " is a setting of a whole run; start one with holdbench run SCENARIO --fault " + f.Name
}

const overText = "the run has ended; go back in it and change it there"

func (p *injectScreen) onFormKey(msg tea.KeyMsg) tea.Cmd {
	switch k := &p.keys; {
	case key.Matches(msg, k.Close):
		p.form = nil
	case key.Matches(msg, k.Take):
		return p.inject()
	default:
		p.form.wrong = ""
		p.form.key(msg, k)
	}
	return nil
}

// inject sends the fault unless this panel finds it wrong.
func (p *injectScreen) inject() tea.Cmd {
	f, err := p.form.fault(p.view, p.ready)
	if err != nil {
		p.form.wrong = err.Error()
		return nil
	}
	return both(Close{}, injectFault{f})
}

func (p *injectScreen) onMouse(msg tea.MouseMsg) tea.Cmd {
	in := p.within(p.Place)
	x, y, ok := clicked(msg, in)
	switch by := wheel(msg); {
	case p.form != nil:
		p.form.mouse(y, by, in, ok)
	case by != 0:
		p.list.move(by, p.listRows(in.H))
	case ok && x >= 0:
		if hit, again := p.list.click(y-listTop, p.listRows(in.H)); hit && again {
			return p.take()
		}
	}
	return nil
}

const (
	listTop    = 2 // rows above the list
	detailRows = 5 // below it
)

// listRows are the rows of a list above so many rows of details and a rule, of h in all.
func listRows(h, details int) int { return max(1, h-listTop-details-1) }

func (p *injectScreen) listRows(h int) int {
	if h >= listTop+2*detailRows {
		return listRows(h, detailRows)
	}
	return listRows(h, min(detailRows, rowsOf(p.room().W, p.details()))) // the list has what is left
}

// Draw draws the list or the form.
func (p *injectScreen) Draw(a page.Area) {
	if p.form != nil {
		in := p.frame(a, "Inject "+p.form.name)
		p.form.draw(in)
		return
	}
	in := p.frame(a, "Faults")
	drawSearch(in, &p.list, true)
	rows := p.listRows(in.H())
	p.list.draw(in.Sub(0, listTop, in.W(), rows))
	below := in.Sub(0, listTop+rows, in.W(), detailRows+1)
	below.HLine(0, 0, below.W(), page.Faint)
	drawPassages(below, 1, p.details())
}

// drawSearch draws the line in which a list is searched.
func drawSearch(a page.Area, p *picker, active bool) {
	x := a.Text(0, 0, page.Faint, "search ")
	p.filter.draw(rowAt(a, x, 0), active)
}

// details describe the row that is chosen.
func (p *injectScreen) details() []passage {
	c, ok := p.list.now()
	switch {
	case p.wrong != "":
		return []passage{{page.Bad, 0, "✗ " + p.wrong}}
	case !ok:
		return nil
	case c.kind == faultInRun:
		return []passage{{page.Strong, 0, c.name}, {page.Plain, 0, c.about}}
	case c.kind == faultNamed:
		f := &p.named[c.place]
		return []passage{{page.Plain, 0, f.What}, {page.Faint, 0, f.DetectedBy}}
	}
	t := &p.targets[c.place]
	return []passage{{page.Plain, 0, t.Note}, {page.Faint, 0, t.Range}}
}
