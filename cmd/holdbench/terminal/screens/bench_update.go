package screens

import (
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/terminal/player"
	"holdbench/sim"
)

// Update takes what concerns the run, and begins the work that comes of it.
func (b *Bench) Update(msg tea.Msg) (bool, tea.Cmd) {
	taken, cmd := true, tea.Cmd(nil)
	switch msg := msg.(type) {
	case tea.KeyMsg:
		taken, cmd = b.onKey(msg)
	case tea.MouseMsg:
		b.onMouse(msg)
	case tea.WindowSizeMsg:
		b.size = msg
	case Frame:
		b.onFrame(time.Time(msg))
	case player.Progress:
		cmd = b.onProgress(&msg)
	case loaded:
		b.onLoaded(msg)
	case nominalRun:
		b.nominal.take(msg, b.Case())
	case otherRun:
		b.takeOther(msg)
	case runsCompared:
		b.takeCompared(msg)
	default:
		taken, cmd = b.onOrder(msg)
	}
	return taken, tea.Batch(cmd, b.dispatch(), b.compareAgain(), b.tellEarly())
}

// dispatch begins the job that is due, after the errands that come before it.
func (b *Bench) dispatch() tea.Cmd {
	var list []tea.Cmd
	for task, due := b.player.Next(); due; task, due = b.player.Next() {
		if task.Errand != nil {
			list = append(list, b.onErrand(task.Errand))
			continue
		}
		run, stop := b.player.Shown().Run, b.stops()
		list = append(list, b.worker.command(func() tea.Msg {
			return task.Job.Do(run, player.Limits{Stop: stop, Late: b.worker.late()})
		}))
	}
	if b.player.AskFrame() {
		list = append(list, b.NextFrame())
	}
	return tea.Batch(list...)
}

// stops are those of the lesson, if its run is on the bench.
func (b *Bench) stops() func(*sim.Bench) bool {
	if b.Case() != b.lesson.of {
		return nil
	}
	return b.lesson.due
}

// onOrder takes what other screens ask for.
func (b *Bench) onOrder(msg tea.Msg) (bool, tea.Cmd) {
	switch msg := msg.(type) {
	case Chosen:
		return true, b.ifKept(msg)
	case injectFault:
		b.player.Change(func(run *sim.Bench) error { return run.Inject(msg.Fault) })
	case removeFault:
		b.player.Change(func(run *sim.Bench) error { return run.RemoveFault(msg.Place) })
	case setValues:
		b.again(msg.Set)
	case playScenario:
		b.player.Pause()
		b.player.WhenFree(rerun{scenario: &msg.Scenario})
	case beginRun:
		return true, b.begin(msg)
	case Play:
		b.play()
	case showMoment, toRunsEnd, questionAsked:
		return true, b.onMoment(msg)
	case RunKept:
		b.changed = false
		b.say("kept in "+msg.Path, false)
	case Notice:
		b.notice = msg
	case MaskRiddle:
		b.setMask(msg.RiddleMask)
	case Stops:
		b.lesson.set(msg.Stop)
	case openCourse:
		return true, b.openCourse()
	case truthRevealed:
		b.onRevealed(msg)
	case lessonDone:
		return true, b.onLessonDone(msg)
	case confirmed:
		return b.onConfirmed(msg.What)
	case compareWith:
		return true, b.compareWith(msg)
	default:
		return false, nil
	}
	return true, nil
}

// onConfirmed does what was confirmed.
func (b *Bench) onConfirmed(what any) (bool, tea.Cmd) {
	switch what := what.(type) {
	case Chosen:
		return true, b.load(what)
	case Leave:
		b.changed = false
		return true, Send(Leave{})
	}
	return false, nil
}

// ifKept loads another scenario, after a question if the runs on the bench were changed. A no to a lesson of the
// course leads back to the course.
func (b *Bench) ifKept(chosen Chosen) tea.Cmd {
	if chosen.Lesson {
		chosen.Overrides.Reach = b.source.chosen.Overrides.Reach
	}
	if !b.Changed() {
		return b.load(chosen)
	}
	ask := newAsk("Load another scenario?", lost, chosen)
	if chosen.Lesson && b.course != nil {
		ask.ifNo = openCourse{}
	}
	return Send(Open{ask})
}

// lost is the consequence that a question states.
const lost = "The run was changed and is not kept as a scenario. The changes would be lost."

// onKey does what a key is for.
func (b *Bench) onKey(msg tea.KeyMsg) (bool, tea.Cmd) {
	if b.Case() != nil {
		b.notice = Notice{}
	}
	for _, g := range b.keys.groups() {
		for _, k := range g.keys {
			switch {
			case !key.Matches(msg, k.Binding) || b.Case() == nil && !k.always:
			case b.lesson.coming && !k.always: // it is not for the run that is still on the bench
				b.say("the run of the lesson comes to the bench; press the key again", false)
				return true, nil
			default:
				return true, k.do(b)
			}
		}
	}
	return false, nil
}

// benchKey is a key of the main screen and what it does.
type benchKey struct {
	key.Binding
	do     func(*Bench) tea.Cmd
	always bool // also before there is a run
}

func newKey(do func(*Bench) tea.Cmd, help string, keys ...string) benchKey {
	return benchKey{Binding: bind(help, keys...), do: do}
}

// benchKeys are the keys of the main screen, for matching and for help.
type benchKeys struct {
	Run, Scan, ScanBack, State, StateBack, Event, EventBack benchKey
	End, Start, Back, On, FarBack, FarOn, Faster, Slower    benchKey
	Trigger, Cancel, Estop, Reset, Acknowledge, Power       benchKey
	Access, Guard, Setup                                    benchKey
	Fault, Values, Changes, Again, Swap                     benchKey
	Older, Tab, Span, Earlier, Nominal, Truth               benchKey
	Other, Align, First, MoreValues, LessValues             benchKey
	Choose, Lesson, Riddle, Keep, Write, Mouse, Help, Quit  benchKey
	Course, Large                                           benchKey
}

func newBenchKeys() benchKeys {
	k := benchKeys{
		Run:       newKey((*Bench).toggle, "run, pause", " "),
		Scan:      newKey((*Bench).scanOn, "one scan", "."),
		ScanBack:  newKey((*Bench).scanBack, "one scan back", ","),
		State:     newKey(nextEvent(stateChange), "next state", "s"),
		StateBack: newKey(eventBefore(stateChange), "previous state", "S"),
		Event:     newKey(nextEvent(anyEvent), "next event", "e"),
		EventBack: newKey(eventBefore(anyEvent), "previous event", "E"),
		On:        newKey(by(100*time.Millisecond), "0.1 s forward", "right"),
		Back:      newKey(by(-100*time.Millisecond), "0.1 s back", "left"),
		FarOn:     newKey(by(time.Second), "1 s forward", "]", "shift+right"),
		FarBack:   newKey(by(-time.Second), "1 s back", "[", "shift+left"),
		Start:     newKey((*Bench).toStart, "to the start", "home"),
		End:       newKey((*Bench).toEnd, "to the end", "end", "G"),

		Trigger: newKey(button("trigger"), "trigger", "t"),
		Cancel:  newKey(button("cancel"), "cancel", "c"),
		Estop:   newKey(button("estop"), "emergency stop", "x"),
		Reset:   newKey(momentary("reset"), "reset", "X"),
		Power:   newKey(button("power_loss"), "power off, on", "p"),

		Acknowledge: newKey(momentary("acknowledge"), "acknowledge", "a"),
		Access:      newKey(button("access"), "ask for access", "A"),
		Guard:       newKey(button("guard_open"), "guard open, closed", "d"),
		Setup:       newKey(button("setup_mode"), "setup mode on, off", "D"),

		Fault:  newKey((*Bench).openInject, "faults", "f"),
		Values: newKey((*Bench).openValues, "change values", "v"),
		Again:  newKey((*Bench).runAgain, "run again", "r"),

		Changes: newKey((*Bench).openDifferences, "what is changed", "i"),

		Swap:    newKey(bring(1), "swap with earlier", "u"),
		Older:   newKey(bring(oldest), "oldest run", "U"),
		Earlier: newKey((*Bench).toggleEarlier, "earlier on, off", "g"),
		Nominal: newKey((*Bench).toggleNominal, "nominal run", "o"),
		Truth:   newKey((*Bench).toggleTruth, "truth on, off", "h"),

		Faster: newKey((*Bench).faster, "faster", "+", "="),
		Slower: newKey((*Bench).slower, "slower", "-"),
		Tab:    newKey((*Bench).nextTab, "next tab", "tab"),
		Span:   newKey((*Bench).nextSpan, "span of curves", "z"),
		Large:  newKey((*Bench).toggleLarge, "large on, off", "L"),
		Mouse:  newKey((*Bench).toggleMouse, "mouse on, off", "m"),
		Write:  newKey((*Bench).saveScreen, "save the screen", "w"),

		Choose: newKey((*Bench).openChoose, "choose a run", "l"),
		Lesson: newKey((*Bench).openLesson, "lesson", "n"),
		Course: newKey((*Bench).openCourse, "course", "N"),
		Riddle: newKey((*Bench).openRiddle, "find the fault", "b"),
		Keep:   newKey((*Bench).openKeep, "keep as scenario", "k"),
		Help:   newKey((*Bench).openHelp, "help", "?"),
		Quit:   newKey((*Bench).quit, "leave", "q", "ctrl+c"),
	}
	k.addOther()
	k.Choose.always, k.Quit.always = true, true
	return k
}

// addOther adds the keys of run B.
func (k *benchKeys) addOther() {
	k.Other = newKey((*Bench).openCompare, "compare with B", "y")
	k.First = newKey((*Bench).toFirst, "first difference", "j")
	k.Align = newKey((*Bench).nextAlignment, "align with B", "Y")
	k.MoreValues = newKey(scrollValues(1), "more values", ">")
	k.LessValues = newKey(scrollValues(-1), "values above", "<")
}

// keyGroup is a part of the keys under a title.
type keyGroup struct {
	title string
	keys  []benchKey
}

// groups are all keys, as the help page shows them.
func (k *benchKeys) groups() []keyGroup {
	return []keyGroup{
		{"Time", []benchKey{k.Run, k.Scan, k.ScanBack, k.State, k.StateBack, k.Event, k.EventBack, k.On, k.Back, k.FarOn, k.FarBack, k.Start, k.End}},
		{"Operate", []benchKey{k.Trigger, k.Cancel, k.Estop, k.Reset, k.Acknowledge, k.Access, k.Guard, k.Setup, k.Power}},
		{"Do", []benchKey{k.Fault, k.Values, k.Changes, k.Again}},
		{"Compare", []benchKey{k.Other, k.First, k.Align, k.MoreValues, k.LessValues, k.Swap, k.Older, k.Earlier, k.Nominal, k.Truth}},
		{"See", []benchKey{k.Faster, k.Slower, k.Tab, k.Span, k.Large, k.Mouse, k.Write}},
		{"Go to", []benchKey{k.Choose, k.Lesson, k.Course, k.Riddle, k.Keep, k.Help, k.Quit}},
	}
}

// help are the groups without what the keys do.
func (k *benchKeys) help() []helpGroup {
	var list []helpGroup
	for _, g := range k.groups() {
		list = append(list, helpGroup{g.title, bindings(g.keys)})
	}
	return list
}

func bindings(keys []benchKey) []key.Binding {
	var list []key.Binding
	for _, k := range keys {
		list = append(list, k.Binding)
	}
	return list
}

// pressed is how long a key presses a push-button that nobody holds: every scan sees it.
const pressed = 200 * time.Millisecond

// momentary presses a button of the operator at the moment shown and releases it.
func momentary(name string) func(*Bench) tea.Cmd {
	return func(b *Bench) tea.Cmd {
		b.player.Change(func(run *sim.Bench) error { return run.PressButton(name, pressed) })
		return nil
	}
}

// button switches a button of the operator at the moment shown.
func button(name string) func(*Bench) tea.Cmd {
	return func(b *Bench) tea.Cmd {
		b.player.Change(func(run *sim.Bench) error { return run.SetButton(name, !run.Button(name)) })
		return nil
	}
}
