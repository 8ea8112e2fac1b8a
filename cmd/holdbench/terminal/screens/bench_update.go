package screens

import (
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/terminal/player"
	"holdbench/sim/history"
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
	default:
		taken, cmd = b.onOrder(msg)
	}
	return taken, tea.Batch(cmd, b.work())
}

// onOrder takes what other screens ask for.
func (b *Bench) onOrder(msg tea.Msg) (bool, tea.Cmd) {
	switch msg := msg.(type) {
	case Chosen:
		return true, b.ifKept("Load another scenario?", msg, b.load(msg))
	case InjectFault:
		b.player.Change(func(r *history.Run) error { return r.Inject(msg.Fault) })
	case RemoveFault:
		b.player.Change(func(r *history.Run) error { return r.RemoveFault(msg.Place) })
	case SetValues:
		b.again(msg.Set)
	case Begin:
		return true, b.begin(msg)
	case Play:
		b.play()
	case RunKept:
		b.changed = false
		b.say("kept in "+msg.Path, false)
	case Notice:
		b.notice = msg
	case MaskRiddle:
		b.mask = msg.RiddleMask
	case Stops:
		b.lesson.set(msg.Stop)
	case Confirmed:
		return b.onConfirmed(msg.What)
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

// ifKept runs a command that drops the runs, after a question if they were changed.
func (b *Bench) ifKept(question string, what any, cmd tea.Cmd) tea.Cmd {
	if !b.Changed() {
		return cmd
	}
	return Send(Open{NewAsk(question, lost, what)})
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
			if key.Matches(msg, k.Binding) && (b.Case() != nil || k.always) {
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

// does is a key that needs no command.
func does(what func(*Bench), help string, keys ...string) benchKey {
	return sends(func(b *Bench) tea.Cmd { what(b); return nil }, help, keys...)
}

// sends is a key that gives a command.
func sends(what func(*Bench) tea.Cmd, help string, keys ...string) benchKey {
	return benchKey{Binding: bind(help, keys...), do: what}
}

// benchKeys are the keys of the main screen, for matching and for help.
type benchKeys struct {
	Run, Scan, ScanBack, State, StateBack, Event, EventBack   benchKey
	End, Start, Back, On, FarBack, FarOn, Faster, Slower      benchKey
	Trigger, Cancel, Estop, Power, Fault, Values, Again, Swap benchKey
	Older, Tab, Span, Earlier, Nominal, Truth                 benchKey
	Choose, Lesson, Riddle, Keep, Write, Mouse, Help, Quit    benchKey
}

func newBenchKeys() benchKeys {
	k := benchKeys{
		Run:       does((*Bench).toggle, "run, pause", " "),
		Scan:      does((*Bench).scanOn, "one scan", "."),
		ScanBack:  does((*Bench).scanBack, "one scan back", ","),
		State:     does(nextEvent(stateChange), "next state", "s"),
		StateBack: does(eventBefore(stateChange), "previous state", "S"),
		Event:     does(nextEvent(anyEvent), "next event", "e"),
		EventBack: does(eventBefore(anyEvent), "previous event", "E"),
		On:        does(by(100*time.Millisecond), "0.1 s forward", "right"),
		Back:      does(by(-100*time.Millisecond), "0.1 s back", "left"),
		FarOn:     does(by(time.Second), "1 s forward", "]", "shift+right"),
		FarBack:   does(by(-time.Second), "1 s back", "[", "shift+left"),
		Start:     does((*Bench).toStart, "to the start", "home"),
		End:       does((*Bench).toEnd, "to the end", "end", "G"),

		Trigger: does(button("trigger"), "trigger", "t"),
		Cancel:  does(button("cancel"), "cancel", "c"),
		Estop:   does(button("estop"), "emergency stop", "x"),
		Power:   does(button("power_loss"), "power off, on", "p"),
		Fault:   sends((*Bench).openInject, "faults", "f"),
		Values:  sends((*Bench).openValues, "change values", "v"),
		Again:   does(func(b *Bench) { b.again(nil) }, "run again", "r"),

		Swap:    does(bring(1), "swap with earlier", "u"),
		Older:   does(bring(oldest), "oldest run", "U"),
		Earlier: does(func(b *Bench) { b.show.hideEarlier = !b.show.hideEarlier }, "earlier on, off", "g"),
		Nominal: sends((*Bench).toggleNominal, "nominal run", "o"),
		Truth:   does((*Bench).toggleTruth, "truth on, off", "h"),

		Faster: does(func(b *Bench) { b.player.Faster() }, "faster", "+", "="),
		Slower: does(func(b *Bench) { b.player.Slower() }, "slower", "-"),
		Tab:    does(func(b *Bench) { b.show.nextTab() }, "next tab", "tab"),
		Span:   does(func(b *Bench) { b.show.nextSpan() }, "span of curves", "z"),
		Mouse:  sends((*Bench).toggleMouse, "mouse on, off", "m"),
		Write:  sends(func(*Bench) tea.Cmd { return Send(SaveScreen{}) }, "save the screen", "w"),

		Choose: sends((*Bench).openChoose, "choose a run", "l"),
		Lesson: sends((*Bench).openLesson, "lesson", "n"),
		Riddle: sends((*Bench).openRiddle, "find the fault", "b"),
		Keep:   sends((*Bench).openKeep, "keep as scenario", "k"),
		Help:   sends((*Bench).openHelp, "help", "?"),
		Quit:   sends((*Bench).quit, "leave", "q", "ctrl+c"),
	}
	k.Choose.always, k.Quit.always = true, true
	return k
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
		{"Do", []benchKey{k.Trigger, k.Cancel, k.Estop, k.Power, k.Fault, k.Values, k.Again}},
		{"Compare", []benchKey{k.Swap, k.Older, k.Earlier, k.Nominal, k.Truth}},
		{"See", []benchKey{k.Faster, k.Slower, k.Tab, k.Span, k.Mouse, k.Write}},
		{"Go to", []benchKey{k.Choose, k.Lesson, k.Riddle, k.Keep, k.Help, k.Quit}},
	}
}

// help are the groups without what the keys do.
func (k *benchKeys) help() []HelpGroup {
	var list []HelpGroup
	for _, g := range k.groups() {
		list = append(list, HelpGroup{g.title, bindings(g.keys)})
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

// button switches a button of the operator at the moment shown.
func button(name string) func(*Bench) {
	return func(b *Bench) {
		b.player.Change(func(r *history.Run) error { return r.SetButton(name, !r.View().Buttons[name]) })
	}
}
