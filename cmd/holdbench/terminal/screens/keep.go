package screens

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"
	"unicode"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/scenarios"
	"holdbench/sim"
)

// keepScreen writes a run as a scenario document.
type keepScreen struct {
	panel
	played sim.Scenario
	before [keepFields]string // the fields of the document
	from   string             // the folder that its references are relative to
	result *sim.Result        // nil while the run is not over
	folder string
	fields [keepFields]textField
	field  int  // that has the keys
	busy   bool // the document is being written
	wrong  string
	offset int  // rows of the content
	acted  bool // the operator did more than the document says
}

// The fields.
const (
	nameField = iota
	titleField
	keepFields // how many there are
)

// keepRows are the rows of the fields, of the file and of what a field was before.
const keepRows = keepFields + 2

// ending is the end of the name of a run that was tried.
const ending = "-tried"

// newKeep makes the panel for a run as it was played, beside its document, and what came of it; nil says that it
// is not over. References of the scenario are relative to from; it is kept in the folder, or below it.
func newKeep(document *sim.Scenario, played sim.Scenario, from string, result *sim.Result, folder string) *keepScreen {
	k := &keepScreen{panel: newPanel(100, 36), played: played, from: from, result: result, folder: folder}
	k.before = [...]string{document.Scenario, document.Title}
	k.fields[nameField] = newValueField(strings.TrimSuffix(played.Scenario, ending)+ending, "")
	if result != nil {
		k.played.Faults = inStates(document.Faults, played.Faults, result.Events)
	}
	k.acted = len(addedActions(document.Script, played.Script)) > 0
	k.fields[titleField] = newValueField(triedTitle(document, &k.played), "")
	return k
}

// triedTitle says what was done to the run of a document. What the document's title claims need not be true any more, so
// it is not kept; of a run to which nothing was done it is.
func triedTitle(document, played *sim.Scenario) string {
	const most = 3 // by name
	list := differencesOf(document, played)
	if len(list) == 0 {
		return played.Title
	}
	var done []string
	for i := range list {
		d := &list[i]
		if i == most && len(list) > most+1 {
			done = append(done, fmt.Sprintf("%d more", len(list)-most))
			break
		}
		text := d.name
		if d.kind == removedFault {
			text = "without " + text
		}
		done = append(done, text)
	}
	return "As " + document.Scenario + ", but " + strings.Join(done, "; ")
}

// inStates gives added faults the state in which they were injected, and the time since its entry, in place of a moment
// of the run: so they come in the same place of a run that takes another time. It is so for the first stay in a state
// alone, as that is what a document can name.
func inStates(document, played []sim.Fault, events []sim.Event) []sim.Fault {
	list := slices.Clone(played)
	for i := range list {
		if f := &list[i]; f.At != nil && len(without([]sim.Fault{*f}, document)) > 0 {
			if when, ok := stateAt(*f.At, events); ok {
				f.At, f.When = nil, &when
			}
		}
	}
	return list
}

// stateAt is the state at a moment and the time since its first entry, false if it had been entered before or is the
// first of the run.
func stateAt(at time.Duration, events []sim.Event) (sim.Moment, bool) {
	entered := map[string]int{}
	state, since := "", time.Duration(0)
	for i := range events {
		e := &events[i]
		ts := time.Duration(math.Round(e.TS * 1e9))
		if !e.EntersState() || ts > at {
			continue
		}
		if len(entered) == 0 {
			entered[e.Subject] = 1 // the state that the run begins in
		}
		state, since = e.Snapshot.State, ts
		entered[state]++
	}
	if state == "" || entered[state] != 1 {
		return sim.Moment{}, false
	}
	return sim.Moment{State: state, After: at - since}, true
}

// replaceKept is the question whether a file may be replaced.
type replaceKept struct {
	of   *keepScreen
	path string
}

// written tells what came of writing.
type written struct {
	of   *keepScreen
	path string
	err  error
}

// Typing is so unless there is nothing to keep.
func (k *keepScreen) Typing() bool { return k.result != nil }

// Keys are those of both fields.
func (k *keepScreen) Keys() []key.Binding {
	if k.result == nil {
		return []key.Binding{k.keys.Close}
	}
	list := []key.Binding{meaning(k.keys.Take, "write"), k.keys.between}
	if rows, window := k.contentSize(k.room()); rows > window {
		list = append(list, k.keys.reading)
	}
	return append(list, k.keys.Close)
}

// Update takes every key but the one that ends the program.
func (k *keepScreen) Update(msg tea.Msg) (bool, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		k.size = msg
	case tea.MouseMsg:
		k.onMouse(msg)
		return true, nil
	case tea.KeyMsg:
		if interrupted(msg) {
			return false, nil
		}
		return true, k.onKey(msg)
	case written:
		if msg.of == k {
			return true, k.onWritten(msg)
		}
	case confirmed:
		if what, ok := msg.What.(replaceKept); ok && what.of == k {
			return true, k.write(what.path, true)
		}
	}
	return false, nil
}

func (k *keepScreen) onKey(msg tea.KeyMsg) tea.Cmd {
	if k.busy { // it takes no time, and its end must find this panel
		return nil
	}
	k.wrong = ""
	switch keys := &k.keys; {
	case key.Matches(msg, keys.Close):
		return Send(Close{})
	case k.result == nil:
		return nil
	case key.Matches(msg, keys.Take):
		return k.take()
	case key.Matches(msg, keys.ReadUp, keys.PageUp):
		k.scroll(-wheelRows)
	case key.Matches(msg, keys.ReadDown, keys.PageDown):
		k.scroll(wheelRows)
	case key.Matches(msg, keys.Next, keys.Previous, keys.Up, keys.Down):
		k.field = (k.field + 1) % keepFields
	default:
		k.fields[k.field].update(msg)
	}
	return nil
}

func (k *keepScreen) onMouse(msg tea.MouseMsg) {
	if _, y, ok := clicked(msg, k.room()); ok && y < keepFields {
		k.field = y
	}
	k.scroll(wheel(msg))
}

func (k *keepScreen) scroll(by int) {
	rows, window := k.contentSize(k.room())
	k.offset = scrolled(k.offset, by, rows, window)
}

func (k *keepScreen) name() string  { return strings.TrimSpace(k.fields[nameField].text()) }
func (k *keepScreen) title() string { return strings.TrimSpace(k.fields[titleField].text()) }
func (k *keepScreen) path() string {
	return filepath.Join(k.folder, filepath.FromSlash(k.name())+".yaml")
}

// take writes if name and title will do.
func (k *keepScreen) take() tea.Cmd {
	if err := k.check(); err != nil {
		k.wrong = err.Error()
		return nil
	}
	return k.write(k.path(), false)
}

func (k *keepScreen) check() error {
	name := k.name()
	switch {
	case slices.ContainsFunc(strings.Split(name, "/"), oddName):
		return fmt.Errorf("name is %q; must be letters, digits and hyphens, behind folders if need be, such as mine/lining-worn-tried", name)
	case slices.Contains(scenarios.Names(scenarios.ScenarioKind), path.Base(name)):
		return fmt.Errorf("name is %q; must be another, since a built-in scenario has it", name)
	case k.title() == "":
		return errors.New("title is missing; must be one line of plain text")
	}
	return nil
}

// oddName is whether a part of a path is no name.
func oddName(part string) bool {
	odd := func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '-' && r != '_' }
	return part == "" || strings.ContainsFunc(part, odd) || part[0] == '-'
}

// write writes the document in a command. What was written about the scenario's own run is
// left out: it need not be true of this one.
func (k *keepScreen) write(file string, replace bool) tea.Cmd {
	k.busy = true
	s := k.played
	s.Scenario, s.Title = path.Base(k.name()), k.title()
	scenarios.Rebase(&s, k.from, filepath.Dir(file))
	s.Teaches, s.Remedy, s.Lesson = "", "", nil
	header := "Tried on the bench, beginning with " + k.played.Scenario + "."
	return func() tea.Msg {
		text, err := scenarios.FormatTried(&s, k.result, header)
		if err == nil {
			err = os.MkdirAll(filepath.Dir(file), 0o750)
		}
		if err == nil {
			err = scenarios.Save(file, text, replace)
		}
		return written{k, file, err}
	}
}

func (k *keepScreen) onWritten(w written) tea.Cmd {
	k.busy = false
	switch {
	case errors.Is(w.err, fs.ErrExist):
		return Send(Open{newAsk("Replace "+filepath.Base(w.path)+"?", w.path+" exists; its content would be lost.", replaceKept{k, w.path})})
	case w.err != nil:
		k.wrong = w.err.Error()
		return nil
	}
	return both(Close{}, RunKept{w.path})
}

// Draw draws the fields and what will be expected.
func (k *keepScreen) Draw(a page.Area) {
	in := k.frame(a, "Keep the run as a scenario")
	if k.result == nil {
		drawPassages(in, 0, k.content())
		return
	}
	k.drawFields(in)
	drawPassages(in, keepRows, k.state())
	rows, window := k.contentSize(Rect{0, 0, in.W(), in.H()})
	text := in.Sub(0, in.H()-window, in.W(), window)
	drawPassages(text.Sub(0, 0, in.W()-2, window), -k.offset, k.content())
	drawMore(text, k.offset, rows)
}

func (k *keepScreen) drawFields(a page.Area) {
	const column = 8
	for i, label := range []string{"name", "title"} {
		role := page.Plain
		if i == k.field {
			role = page.Strong
			a.Text(0, i, page.Key, "›")
		}
		a.Text(2, i, role, label)
		k.fields[i].draw(rowAt(a, column, i), i == k.field)
	}
	const follows = "follows the name"
	a.Text(2, keepFields, page.Plain, "file")
	a.Sub(0, 0, a.W()-page.Width(follows)-2, a.H()).Fit(column, keepFields, page.Faint, k.path())
	a.Right(keepFields, page.Faint, follows)
	if before := k.before[k.field]; before != "" {
		a.Text(2, keepFields+1, page.Faint, "was")
		a.Fit(column, keepFields+1, page.Faint, before)
	}
}

// state is the state of the writing, and a blank row.
func (k *keepScreen) state() []passage {
	switch {
	case k.wrong != "":
		return []passage{{page.Bad, 0, "✗ " + k.wrong}, {}}
	case k.busy:
		return []passage{{page.Faint, 0, "writing…"}, {}}
	}
	return []passage{{}}
}

// contentSize is how many rows the content has, and how many can be seen of it.
func (k *keepScreen) contentSize(in Rect) (rows, window int) {
	return rowsOf(max(0, in.W-2), k.content()), max(0, in.H-keepRows-rowsOf(in.W, k.state()))
}

// content is that of the document, or why there is none.
func (k *keepScreen) content() []passage {
	if k.result == nil {
		return []passage{
			{page.Strong, 0, "The run has not ended."}, {},
			{page.Plain, 0, "The expectations are taken from the run, so it must be run to its end first: close this panel and let it run."},
		}
	}
	e := sim.Expected(k.result)
	list := []passage{
		{page.Heading, 0, "expected, as in this run"},
		{page.Caution, 2, "Not yet judged: read each line in the file and decide whether it is right."},
	}
	for _, line := range expectLines(&e) {
		list = append(list, passage{page.Plain, 2, line})
	}
	list = append(list, passage{}, passage{page.Faint, 0, fmt.Sprintf("With seed %d. Teaches, remedy and lesson of the scenario are left out, as they were written for another run.", k.result.Seed)})
	list = append(list, section("set", setLines(allShown(k.played.Set)))...)
	var operator, faults []string
	for i := range k.played.Script {
		operator = append(operator, actionInShort(k.played.Script[i]))
	}
	for i := range k.played.Faults {
		faults = append(faults, "▲ "+faultInShort(k.played.Faults[i]))
	}
	list = append(list, section("operator", operator)...)
	if k.acted {
		list = append(list, passage{page.Faint, 2, "An action keeps its time in the run, not its place in the sequence: a step of the script has no state."})
	}
	return append(list, section("faults", faults)...)
}
