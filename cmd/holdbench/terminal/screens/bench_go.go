package screens

import (
	"path/filepath"
	"slices"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"holdbench/scenarios"
	"holdbench/sim"
)

// onGoKey opens other screens.
func (b *Bench) onGoKey(msg tea.KeyMsg) (bool, tea.Cmd) {
	k := &b.keys
	switch {
	case key.Matches(msg, k.Fault):
		return true, b.openUnveiled(func() Screen { return NewInject(b.at.look, stateNames(b.c), &b.c.Rig) })
	case key.Matches(msg, k.Values):
		return true, b.openValues()
	case key.Matches(msg, k.Again):
		return true, b.again(nil)
	case key.Matches(msg, k.Choose):
		return true, b.openUnveiled(b.newChoose)
	case key.Matches(msg, k.Lesson):
		return true, b.openLesson()
	case key.Matches(msg, k.Blind):
		return true, b.openBlind()
	case key.Matches(msg, k.Keep):
		return true, b.openUnveiled(b.newKeep)
	case key.Matches(msg, k.Write):
		return true, Send(SaveScreen{})
	case key.Matches(msg, k.Help):
		return true, Send(Open{NewHelp(k.groups())})
	case key.Matches(msg, k.Quit):
		if b.Changed() {
			return true, Send(Open{b.AskToLeave()})
		}
		return true, Send(Leave{})
	}
	return false, nil
}

// AskToLeave asks before work is lost.
func (b *Bench) AskToLeave() *Ask {
	return NewAsk("Leave holdbench?", lost, Leave{})
}

// openUnveiled opens a screen that would give a riddle away, if none is on.
func (b *Bench) openUnveiled(build func() Screen) tea.Cmd {
	if b.veil != nil {
		b.say("this would give the fault away; it opens again after the answer", false)
		return nil
	}
	b.halt()
	return Send(Open{build()})
}

// halt keeps the run where it is.
func (b *Bench) halt() { b.playing, b.rushing = false, nil }

// openValues shows the values of the case. Those of a riddle are the ones without its
// fault, and so are what the panel says is wrong with them.
func (b *Bench) openValues() tea.Cmd {
	b.halt()
	c := b.c
	if b.veil != nil {
		c = c.Nominal()
	}
	return Send(Open{NewValues(c)})
}

func (b *Bench) newChoose() Screen {
	return NewChoose(ChooseNow{Reference: b.chosen.Reference, Overrides: b.chosen.Overrides, Folder: b.folder})
}

// newKeep takes the run as it was played, with references that hold where it is kept.
func (b *Bench) newKeep() Screen {
	var result *sim.Result
	if b.at.over {
		result = b.at.result
	}
	played := b.at.kept
	scenarios.Rebase(&played, folderOf(b.chosen.Reference), b.folder)
	if name := b.chosen.Overrides.Rig; name != "" {
		played.Rig = reference(scenarios.RigKind, name)
	}
	if name := b.chosen.Overrides.Sequence; name != "" {
		played.Sequence = reference(scenarios.SequenceKind, name)
	}
	return NewKeep(played, result, b.folder)
}

// folderOf is where the files are that a document names; a built-in one names none.
func folderOf(document string) string {
	if slices.Contains(scenarios.Names(scenarios.ScenarioKind), document) {
		return ""
	}
	return filepath.Dir(document)
}

// reference is a name as it was given on the command line, where a file is meant from the
// working folder.
func reference(kind scenarios.Kind, name string) sim.Reference {
	if !slices.Contains(scenarios.Names(kind), name) {
		if whole, err := filepath.Abs(name); err == nil {
			name = whole
		}
	}
	return sim.Reference{Name: name}
}

func stateNames(c *sim.Case) []string {
	var names []string
	for _, s := range c.Program.States() {
		names = append(names, s.Name)
	}
	return names
}

// openLesson asks before it takes the present run off the bench.
func (b *Bench) openLesson() tea.Cmd {
	switch {
	case b.veil != nil:
		b.say("first the riddle; enter names the cause, esc gives it up", false)
		return nil
	case b.teaching:
		b.say(inLesson, false)
		return nil
	case len(b.loaded.Scenario.Lesson) == 0:
		b.say("this scenario has no lesson; l lists the scenarios, those with one are marked", false)
		return nil
	}
	b.halt()
	return Send(Open{NewLesson(b.loaded)})
}

// inLesson is said to what would lie over a lesson.
const inLesson = "the lesson comes first; esc leaves it"

func (b *Bench) openBlind() tea.Cmd {
	if b.veil != nil {
		return nil // one riddle at a time
	}
	if b.teaching {
		b.say(inLesson, false)
		return nil
	}
	b.halt()
	return Send(Open{NewBlind(b.worker, b.c)})
}

// begin puts a case on the bench and lets it run; earlier runs stay at hand.
func (b *Bench) begin(order Begin) tea.Cmd {
	l := loaded{c: order.Case, again: true, plays: true}
	if order.Lesson {
		b.teaching = true
		l.stop = lessonStops(order.Case)
	}
	return b.worker.command(func() tea.Msg { return l.start() })
}

// stops are those of the lesson, if its run is on the bench.
func (b *Bench) stops() func(*sim.Bench) bool {
	if b.c != b.taught {
		return nil
	}
	return b.stop
}

// lessonStops tells after a tick whether a stop of the lesson is reached.
func lessonStops(c *sim.Case) func(*sim.Bench) bool {
	stops := sim.NewStops(c.Scenario.Lesson, c.Rig.Clock.Tick)
	return func(run *sim.Bench) bool {
		_, due := run.AtStop(stops)
		return due
	}
}

// Keys are what the hint line shows.
func (b *Bench) Keys() []key.Binding {
	k := &b.keys
	if b.c == nil {
		return []key.Binding{k.Choose, k.Quit}
	}
	return []key.Binding{
		k.Run, k.Choose, k.Fault, k.State, k.End, k.Lesson, k.Values, k.Estop, k.Back, k.Faster, k.Tab,
		k.Blind, k.Keep, k.Help, k.Quit,
	}
}
