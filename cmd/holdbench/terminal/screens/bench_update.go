package screens

import (
	"maps"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/terminal/view"
	"holdbench/sim"
	"holdbench/sim/history"
)

// Update takes what concerns the run.
func (b *Bench) Update(msg tea.Msg) (bool, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.KeyMsg:
		return b.onKey(msg)
	case tea.MouseMsg:
		return true, b.onMouse(msg)
	case tea.WindowSizeMsg:
		b.size = msg
	case Frame:
		return true, b.onFrame(time.Time(msg))
	case progress:
		return true, b.took(msg)
	case loaded:
		return true, b.onLoaded(msg)
	case nominalRun:
		if msg.of == b.c && b.asksNominal {
			b.nominal, b.nominalBlocks = msg.samples, msg.blocks
		}
	default:
		return b.onOrder(msg)
	}
	return true, nil
}

// onOrder takes what other screens ask for.
func (b *Bench) onOrder(msg tea.Msg) (bool, tea.Cmd) {
	switch msg := msg.(type) {
	case Chosen:
		return true, b.ifKept("Load another scenario?", msg, b.load(msg))
	case Injected:
		return true, b.change(func(r *history.Run) error { return r.Inject(msg.Fault) })
	case Lifted:
		return true, b.change(func(r *history.Run) error { return r.Lift(msg.Place) })
	case Changed:
		return true, b.again(msg.Set)
	case Begin:
		return true, b.begin(msg)
	case Play:
		b.playing = !b.at.over
		return true, b.framed()
	case Kept:
		b.changed = false
		b.say("kept in "+msg.Path, false)
	case Notice:
		b.notice = msg
	case Veiled:
		b.veil = msg.Veil
	case Stops:
		b.stop, b.teaching = msg.Stop, msg.Stop != nil
	case Confirmed:
		return b.onConfirmed(msg.What)
	default:
		return false, nil
	}
	return true, nil
}

// onConfirmed does what was asked about.
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

// ifKept does something that loses the runs, after asking if there is work in them.
func (b *Bench) ifKept(question string, what any, cmd tea.Cmd) tea.Cmd {
	if !b.Changed() {
		return cmd
	}
	return Send(Open{NewAsk(question, lost, what)})
}

// lost is what a question warns of.
const lost = "What you tried is not kept as a scenario and would be lost."

// onKey finds what a key means.
func (b *Bench) onKey(msg tea.KeyMsg) (bool, tea.Cmd) {
	if b.c == nil {
		return b.onKeyEmpty(msg)
	}
	b.notice = Notice{}
	for _, keys := range []func(tea.KeyMsg) (bool, tea.Cmd){b.onTimeKey, b.onJumpKey, b.onOperatorKey, b.onSeeKey, b.onGoKey} {
		if taken, cmd := keys(msg); taken {
			return true, cmd
		}
	}
	return false, nil
}

// onKeyEmpty is all that can be done without a case.
func (b *Bench) onKeyEmpty(msg tea.KeyMsg) (bool, tea.Cmd) {
	switch k := &b.keys; {
	case key.Matches(msg, k.Quit):
		return true, Send(Leave{})
	case key.Matches(msg, k.Choose):
		return true, Send(Open{b.newChoose()})
	}
	return false, nil
}

func (b *Bench) onTimeKey(msg tea.KeyMsg) (bool, tea.Cmd) {
	k := &b.keys
	switch {
	case key.Matches(msg, k.Run):
		return true, b.toggle()
	case key.Matches(msg, k.Scan):
		return true, b.scanOn()
	case key.Matches(msg, k.ScanBack):
		return true, b.goTo(b.cursor() - b.scan())
	case key.Matches(msg, k.On):
		return true, b.goBy(100 * time.Millisecond)
	case key.Matches(msg, k.Back):
		return true, b.goBy(-100 * time.Millisecond)
	case key.Matches(msg, k.FarOn):
		return true, b.goBy(time.Second)
	case key.Matches(msg, k.FarBack):
		return true, b.goBy(-time.Second)
	case key.Matches(msg, k.Faster):
		b.speed = min(b.speed+1, len(speeds())-1)
	case key.Matches(msg, k.Slower):
		b.speed = max(b.speed-1, 0)
	default:
		return false, nil
	}
	return true, nil
}

// toggle runs or pauses.
func (b *Bench) toggle() tea.Cmd {
	switch {
	case b.playing || b.rushing != nil:
		b.playing, b.rushing = false, nil
		return nil
	case b.at.over && b.at.cursor == atHead:
		b.say("the run is over; home goes to its start, r runs it again", false)
		return nil
	}
	b.playing = true
	return b.framed()
}

// scan is the number of ticks of one functional scan.
func (b *Bench) scan() int64 { return int64(b.c.Rig.Clock.FunctionalScan / b.tick()) }

// scanOn goes to just after the next functional scan.
func (b *Bench) scanOn() tea.Cmd {
	scan := b.scan()
	return b.goTo((b.cursor()+scan-1)/scan*scan + 1)
}

func (b *Bench) goBy(d time.Duration) tea.Cmd { return b.goTo(b.cursor() + int64(d/b.tick())) }

func (b *Bench) onJumpKey(msg tea.KeyMsg) (bool, tea.Cmd) {
	k := &b.keys
	switch {
	case key.Matches(msg, k.State):
		return true, b.jumpOn(stateChange)
	case key.Matches(msg, k.StateBack):
		return true, b.jumpBack(stateChange)
	case key.Matches(msg, k.Event):
		return true, b.jumpOn(anyEvent)
	case key.Matches(msg, k.EventBack):
		return true, b.jumpBack(anyEvent)
	case key.Matches(msg, k.Start):
		return true, b.goTo(1)
	case key.Matches(msg, k.End):
		if b.at.over {
			return true, b.goTo(b.at.ticks)
		}
		return true, b.rushTo(nil)
	}
	return false, nil
}

func stateChange(e *sim.Event) bool { return e.Kind == sim.KindState }
func anyEvent(*sim.Event) bool      { return true }

// jumpOn goes to the next event of a kind, recorded or yet to come.
func (b *Bench) jumpOn(wanted func(*sim.Event) bool) tea.Cmd {
	events := b.visible()
	for i := range events {
		if at := min(b.ticks(events[i].TS), b.at.ticks); wanted(&events[i]) && at > b.cursor() {
			return b.goTo(at)
		}
	}
	seen, hidden := len(b.at.events), b.hider()
	quiet := b.at.ticks + b.quiet()
	return b.rushTo(func(run *sim.Bench) bool {
		if run.Ticks() >= quiet {
			return true
		}
		list := run.Events()
		for ; seen < len(list); seen++ {
			if wanted(&list[seen]) && !hidden(list[seen].Kind) {
				return true
			}
		}
		return false
	})
}

// quiet is for how many ticks an event is waited for.
func (b *Bench) quiet() int64 { return int64(10 * time.Second / b.tick()) }

// jumpBack goes to the event of a kind before the moment shown.
func (b *Bench) jumpBack(wanted func(*sim.Event) bool) tea.Cmd {
	events := b.visible()
	for i := len(events) - 1; i >= 0; i-- {
		if at := b.ticks(events[i].TS); wanted(&events[i]) && at < b.cursor() {
			return b.goTo(at)
		}
	}
	return b.goTo(1)
}

func (b *Bench) onOperatorKey(msg tea.KeyMsg) (bool, tea.Cmd) {
	k := &b.keys
	for _, button := range []struct {
		key  key.Binding
		name string
	}{{k.Trigger, "trigger"}, {k.Cancel, "cancel"}, {k.Estop, "estop"}, {k.Power, "power_loss"}} {
		if key.Matches(msg, button.key) {
			return true, b.change(func(r *history.Run) error { return r.Push(button.name, !r.Look().Buttons[button.name]) })
		}
	}
	return false, nil
}

// change changes the run at the moment shown.
func (b *Bench) change(what func(*history.Run) error) tea.Cmd {
	if len(b.runs) == 0 {
		return nil
	}
	b.rushing = nil
	b.settle()
	at := b.at.cursor
	if b.heading >= 0 {
		at = b.heading
	}
	if at != atHead {
		b.heading = at + 1 // where the change will be seen
	}
	b.edits++
	return b.do(edit(at, what, b.stops()))
}

// again runs the scenario as it was played from its start, with other values if set is
// not nil; the run before is the ghost.
func (b *Bench) again(set map[string]string) tea.Cmd {
	if len(b.runs) == 0 {
		return nil
	}
	b.halt()
	return b.whenIdle(func() tea.Cmd {
		s := b.runs[0].Played()
		if set != nil {
			b.changed = b.changed || !maps.Equal(set, s.Set)
			s.Set = set
		}
		return b.rerun(s)
	})
}

func (b *Bench) onSeeKey(msg tea.KeyMsg) (bool, tea.Cmd) {
	k := &b.keys
	switch {
	case key.Matches(msg, k.Tab):
		b.tab = (b.tab + 1) % view.Tabs
	case key.Matches(msg, k.Span):
		b.span = (b.span + 1) % len(spans())
	case key.Matches(msg, k.Ghost):
		b.hideOld = !b.hideOld
	case key.Matches(msg, k.Nominal):
		return true, b.toggleNominal()
	case key.Matches(msg, k.Truth):
		b.toggleTruth()
	case key.Matches(msg, k.Swap):
		return true, b.whenIdle(func() tea.Cmd { return b.bring(1) })
	case key.Matches(msg, k.Older):
		return true, b.whenIdle(func() tea.Cmd { return b.bring(len(b.runs) - 1) })
	case key.Matches(msg, k.Mouse):
		return true, b.toggleMouse()
	default:
		return false, nil
	}
	return true, nil
}

func (b *Bench) toggleTruth() {
	if b.veil != nil {
		b.say("the truth comes with the answer", false)
		return
	}
	b.truth = !b.truth
}

func (b *Bench) toggleNominal() tea.Cmd {
	b.asksNominal, b.nominal = !b.asksNominal, nil
	if !b.asksNominal {
		return nil
	}
	return b.runNominal()
}

// bring puts another run on the bench; the one that was there is its ghost.
func (b *Bench) bring(place int) tea.Cmd {
	if place < 1 || place >= len(b.runs) {
		b.say("there is no other run; a branch or another value makes one", false)
		return nil
	}
	run := b.runs[place]
	b.runs = append(b.runs[:place:place], b.runs[place+1:]...)
	b.push(run)
	if run.Case() != b.c { // with other values it has another nominal run
		b.c, b.nominal, b.asksNominal = run.Case(), nil, false
	}
	b.at.cursor, b.heading, b.seekTo = atHead, -1, -1
	return b.do(func(r *history.Run) progress { return observe(r, atHead) })
}

func (b *Bench) toggleMouse() tea.Cmd {
	b.mouse = !b.mouse
	if b.mouse {
		b.say("the mouse is the bench's; m gives it back to the terminal", false)
		return tea.EnableMouseCellMotion
	}
	return tea.DisableMouse
}

// onMouse moves along the run.
func (b *Bench) onMouse(msg tea.MouseMsg) tea.Cmd {
	if b.at.look == nil {
		return nil
	}
	switch {
	case msg.Button == tea.MouseButtonWheelUp:
		return b.goBy(-100 * time.Millisecond)
	case msg.Button == tea.MouseButtonWheelDown:
		return b.goBy(100 * time.Millisecond)
	case msg.Button == tea.MouseButtonLeft && msg.Action != tea.MouseActionRelease:
		return b.onClick(msg.X, msg.Y)
	}
	return nil
}

// onClick goes to the moment under the mouse if it was run already, or shows a tab.
func (b *Bench) onClick(x, y int) tea.Cmd {
	w, h, s := b.size.Width, b.size.Height-1, b.scene()
	if tab, ok := view.TabAt(w, h, s, x, y); ok {
		b.tab = tab
	}
	if at, ok := view.TimeAt(w, h, s, x, y); ok {
		return b.goTo(min(b.ticks(at), b.at.ticks))
	}
	return nil
}
