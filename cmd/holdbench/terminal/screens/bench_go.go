package screens

import (
	"path/filepath"
	"slices"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"holdbench/scenarios"
	"holdbench/sim"
)

func (b *Bench) quit() tea.Cmd {
	if b.Changed() {
		return Send(Open{b.AskToLeave()})
	}
	return Send(Leave{})
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
	b.player.Pause()
	return Send(Open{build()})
}

func (b *Bench) openInject() tea.Cmd {
	return b.openUnveiled(func() Screen { return NewInject(b.at().Look, stateNames(b.Case()), &b.Case().Rig) })
}

func (b *Bench) openChoose() tea.Cmd { return b.openUnveiled(b.newChoose) }

func (b *Bench) openKeep() tea.Cmd { return b.openUnveiled(b.newKeep) }

func (b *Bench) openHelp() tea.Cmd { return Send(Open{NewHelp(b.keys.help())}) }

// openValues shows the values of the case. Those of a riddle are the ones without its
// fault, and so are what the panel says is wrong with them.
func (b *Bench) openValues() tea.Cmd {
	b.player.Pause()
	c := b.Case()
	if b.veil != nil {
		c = c.Nominal()
	}
	return Send(Open{NewValues(c)})
}

func (b *Bench) newChoose() Screen {
	return NewChoose(ChooseNow{Reference: b.source.chosen.Reference, Overrides: b.source.chosen.Overrides, Folder: b.folder})
}

// newKeep takes the run as it was played, with references that hold where it is kept.
func (b *Bench) newKeep() Screen {
	var result *sim.Result
	if b.at().Over {
		result = b.at().Result
	}
	played := b.at().Kept
	scenarios.Rebase(&played, folderOf(b.source.chosen.Reference), b.folder)
	if name := b.source.chosen.Overrides.Rig; name != "" {
		played.Rig = reference(scenarios.RigKind, name)
	}
	if name := b.source.chosen.Overrides.Sequence; name != "" {
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
	case b.lesson.on:
		b.say(inLesson, false)
		return nil
	case len(b.source.loaded.Scenario.Lesson) == 0:
		b.say("this scenario has no lesson; l lists the scenarios, those with one are marked", false)
		return nil
	}
	b.player.Pause()
	return Send(Open{NewLesson(b.source.loaded)})
}

// inLesson is said to what would lie over a lesson.
const inLesson = "the lesson comes first; esc leaves it"

func (b *Bench) openBlind() tea.Cmd {
	if b.veil != nil {
		return nil // one riddle at a time
	}
	if b.lesson.on {
		b.say(inLesson, false)
		return nil
	}
	b.player.Pause()
	return Send(Open{NewBlind(b.worker, b.Case())})
}

// Keys are what the hint line shows.
func (b *Bench) Keys() []key.Binding {
	k := &b.keys
	list := []benchKey{
		k.Run, k.Choose, k.Fault, k.State, k.End, k.Lesson, k.Values, k.Estop, k.Back, k.Faster, k.Tab,
		k.Blind, k.Keep, k.Help, k.Quit,
	}
	if b.Case() == nil {
		list = []benchKey{k.Choose, k.Quit}
	}
	return bindings(list)
}
