package screens

import (
	"maps"
	"path/filepath"
	"slices"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/training"
)

func (b *Bench) quit() tea.Cmd {
	if b.Changed() {
		return Send(Open{b.AskToLeave()})
	}
	return Send(Leave{})
}

func (*Bench) saveScreen() tea.Cmd { return Send(SaveScreen{}) }

// AskToLeave asks before work is lost.
func (b *Bench) AskToLeave() Screen {
	return newAsk("Leave holdbench?", lost, Leave{})
}

// openUnlessMasked opens a screen that would reveal a fault, unless a riddle is on or the truth is hidden.
func (b *Bench) openUnlessMasked(build func() Screen) tea.Cmd {
	switch {
	case b.mask != nil:
		b.say("not available during a riddle, as it would reveal the fault", false)
		return nil
	case b.veiled:
		b.say("not available before a question of the lesson is answered, as it would reveal the fault", false)
		return nil
	case !b.show.truth:
		b.say(whileHidden, false)
		return nil
	}
	b.player.Pause()
	return Send(Open{build()})
}

func (b *Bench) openInject() tea.Cmd {
	return b.openUnlessMasked(func() Screen { return newInject(b.player.Shown().View, b.Case()) })
}

// openChoose lists the scenarios; while the truth is hidden the list does not begin at the one on the bench.
func (b *Bench) openChoose() tea.Cmd {
	if b.mask != nil {
		return b.openUnlessMasked(b.newChoose)
	}
	b.player.Pause()
	return Send(Open{b.newChoose()})
}

func (b *Bench) openKeep() tea.Cmd { return b.openUnlessMasked(b.newKeep) }

func (b *Bench) openHelp() tea.Cmd { return Send(Open{newHelp(b.keys.help())}) }

// openValues shows the values of the case. Those of a riddle are the ones without its
// fault, and so are what the panel says is wrong with them.
func (b *Bench) openValues() tea.Cmd {
	b.player.Pause()
	c, own := b.Case(), b.document().Set
	if b.mask != nil {
		c = b.nominalCase()
		own = c.Scenario.Set
	}
	return Send(Open{newValues(c, own, b.source.chosen.Overrides.Set)})
}

// openDifferences lists what the run has otherwise than its document.
func (b *Bench) openDifferences() tea.Cmd {
	return b.openUnlessMasked(func() Screen {
		played := b.runs.now().PlayedScenario()
		return newDifferences(b.document(), &played, &b.source.chosen.Overrides)
	})
}

func (b *Bench) newChoose() Screen {
	now := chooseNow{Reference: b.source.chosen.Reference, Overrides: b.source.chosen.Overrides, Folder: b.folder}
	return newChoose(now, b.show.truth)
}

// newKeep takes the run as it was played, with references that hold where it is kept.
func (b *Bench) newKeep() Screen {
	var result *sim.Result
	if b.player.Shown().Over {
		result = b.player.Shown().Result
	}
	played := b.player.Shown().Kept
	if len(b.source.data) > 0 {
		played.Set = maps.Clone(played.Set)
		if played.Set == nil {
			played.Set = map[string]string{}
		}
		maps.Copy(played.Set, b.source.data)
	}
	scenarios.Rebase(&played, folderOf(b.source.chosen.Reference), "") // the other names are relative to the working folder
	if name := b.source.chosen.Overrides.Rig; name != "" {
		played.Rig = sim.Reference{Name: name}
	}
	if name := b.source.chosen.Overrides.Sequence; name != "" {
		played.Sequence = sim.Reference{Name: name}
	}
	return newKeep(b.document(), played, "", result, b.folder)
}

// folderOf is where the files are that a document names; a built-in one names none.
func folderOf(document string) string {
	if slices.Contains(scenarios.Names(scenarios.ScenarioKind), document) {
		return ""
	}
	return filepath.Dir(document)
}

func stateNames(c *sim.Case) []string {
	var names []string
	for _, s := range c.Sequence.States {
		names = append(names, s.Name)
	}
	return names
}

// openLesson asks before it takes the present run off the bench.
func (b *Bench) openLesson() tea.Cmd {
	switch {
	case b.mask != nil:
		b.say("finish the riddle first: enter names the cause, esc aborts it", false)
		return nil
	case b.lesson.on:
		b.say(inLesson, false)
		return nil
	case !b.show.truth && b.untold == "": // its title tells the fault
		b.say(whileHidden, false)
		return nil
	case len(b.source.loaded.Scenario.Lesson) == 0 && b.otherParts():
		b.say("a lesson belongs to the rig and the sequence of its scenario, and another one is on the bench", false)
		return nil
	case len(b.source.loaded.Scenario.Lesson) == 0:
		b.say("this scenario has no lesson; l lists the scenarios and marks those with one", false)
		return nil
	}
	b.player.Pause()
	return Send(Open{newLesson(b.source.loaded, b.course, b.untold)})
}

// otherParts is whether a rig, a sequence or a controller is on the bench that is not the scenario's own.
func (b *Bench) otherParts() bool {
	o := &b.source.chosen.Overrides
	return o.Rig != "" || o.Sequence != "" || o.Outside != nil
}

// whileHidden is the notice for what cannot be opened while the truth is hidden.
const whileHidden = "not available while the truth is hidden, as it would reveal the fault; h shows the truth"

// inLesson is the notice for what cannot be opened during a lesson.
const inLesson = "leave the lesson first, with esc"

func (b *Bench) openRiddle() tea.Cmd {
	if b.mask != nil {
		return nil // one riddle at a time
	}
	if b.lesson.on {
		b.say(inLesson, false)
		return nil
	}
	b.player.Pause()
	if b.riddlesBefore == nil {
		b.riddlesBefore = map[training.Level][]string{}
	}
	r := newRiddle(b.worker, b.nominalCase(), b.Answers, b.riddlesBefore)
	r.level = b.riddleLevel
	if last := b.riddle; last != nil {
		r.last = last.last
		if last.part == riddleReveals {
			r.last, last.last = last, nil // one is enough: each has its runs
		}
	}
	b.riddle = r
	if b.ServesTruth {
		r.log, r.kept = nil, passage{page.Faint, 2, "No result is kept, as followers of this bench see the truth during a riddle (--serve-truth)."}
	}
	return Send(Open{r})
}

// Keys are what the hint line shows.
func (b *Bench) Keys() []key.Binding {
	k := &b.keys
	list := []benchKey{
		k.Run, k.Choose, k.Fault, k.State, k.End, k.Lesson, k.Values, k.Estop, k.Back, k.Faster, k.Tab,
		k.Riddle, k.Keep, k.Help, k.Quit,
	}
	if b.course != nil {
		list = slices.Insert(list, slices.IndexFunc(list, func(of benchKey) bool { return of.Help().Key == k.Lesson.Help().Key })+1, k.Course)
	}
	if b.other != nil {
		list = append([]benchKey{k.Run, k.First, k.Align, k.MoreValues}, list[1:]...)
	}
	if b.show.large {
		next := k.Tab
		next.Binding = meaning(k.Tab.Binding, "next view")
		list = append([]benchKey{k.Run, next, k.Large}, slices.DeleteFunc(list[1:], func(of benchKey) bool { return of.Help().Key == k.Tab.Help().Key })...)
	}
	if b.Case() == nil {
		list = []benchKey{k.Choose, k.Quit}
	}
	return bindings(list)
}
