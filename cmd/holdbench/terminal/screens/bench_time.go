package screens

import (
	"math"
	"slices"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/terminal/player"
	"holdbench/cmd/holdbench/terminal/view"
	"holdbench/sim"
)

// Frame is the next frame of a run that plays, with the time at which it came. By itself it
// changes nothing on the screen.
type Frame time.Time

// frameRate is 30 Hz: more is not seen, and costs a slow line.
const frameRate = time.Second / 30

func nextFrame() tea.Cmd {
	return tea.Every(frameRate, func(t time.Time) tea.Msg { return Frame(t) })
}

func (b *Bench) onFrame(now time.Time) {
	if b.Case() != nil {
		b.player.Frame(now, b.tick())
	}
}

func (b *Bench) tick() time.Duration { return b.Case().Rig.Clock.Tick }

func (b *Bench) seconds(ticks int64) float64 {
	return float64(time.Duration(ticks)*b.tick()) / float64(time.Second)
}

// ticks is the number of ticks after which a moment can be seen.
func (b *Bench) ticks(seconds float64) int64 {
	return int64(math.Round(seconds/b.tick().Seconds())) + 1
}

// isOver is the notice for keys that would go on beyond the end.
const isOver = "the run has ended; home goes to its start, r runs it again"

// toggle runs or pauses.
func (b *Bench) toggle() tea.Cmd {
	switch s := b.player.State(); {
	case s == player.Playing || s == player.Running:
		b.player.Pause()
	case b.player.Shown().AtEnd():
		b.say(isOver, false)
	default:
		b.goOn()
	}
	return nil
}

// goOn lets the run play. One in real time has a pace of its own.
func (b *Bench) goOn() {
	if _, bounded := b.untilAnswer(); bounded {
		b.lesson.early = true
		return
	}
	if b.live() {
		b.player.RunTo(player.Place{})
		return
	}
	b.player.Play()
}

// live is whether a controller takes part in real time.
func (b *Bench) live() bool { return b.Case() != nil && b.Case().Live() }

// noWayBack is the notice for keys that go back in a run in real time.
const noWayBack = "the controller takes part in real time: there is no way back, r begins a new run"

// goTo goes to a moment, as far as the open question of a lesson at most.
func (b *Bench) goTo(ticks int64) {
	if last, bounded := b.untilAnswer(); bounded && ticks > last {
		if b.player.Cursor() >= last {
			b.lesson.early = true
			return
		}
		ticks = last
	}
	if b.live() && ticks < b.player.Shown().Ticks {
		b.say(noWayBack, false)
		return
	}
	b.player.GoTo(ticks)
}

// play goes on for another screen.
func (b *Bench) play() {
	b.lesson.asked = 0 // a lesson goes on once its question is answered
	if !b.player.Shown().Over {
		b.goOn()
	}
}

// scan is the number of ticks of one functional scan.
func (b *Bench) scan() int64 { return int64(b.Case().Rig.Clock.FunctionalScan / b.tick()) }

// scanOn goes to just after the next functional scan.
func (b *Bench) scanOn() tea.Cmd {
	scan := b.scan()
	b.goTo((b.player.Cursor()+scan-1)/scan*scan + 1)
	return nil
}

func (b *Bench) scanBack() tea.Cmd {
	b.goTo(b.player.Cursor() - b.scan())
	return nil
}

// by goes some time on or back.
func by(d time.Duration) func(*Bench) tea.Cmd {
	return func(b *Bench) tea.Cmd {
		b.goTo(b.player.Cursor() + int64(d/b.tick()))
		return nil
	}
}

func (b *Bench) faster() tea.Cmd {
	b.player.Faster()
	return nil
}

func (b *Bench) slower() tea.Cmd {
	b.player.Slower()
	return nil
}

func (b *Bench) toStart() tea.Cmd {
	b.goTo(1)
	return nil
}

func (b *Bench) toEnd() tea.Cmd {
	if b.player.Shown().Over {
		b.goTo(b.player.Shown().Ticks)
		return nil
	}
	b.runTo(player.Place{})
	return nil
}

func (b *Bench) runTo(place player.Place) {
	if last, bounded := b.untilAnswer(); bounded {
		b.goTo(last + 1)
		return
	}
	if b.player.Shown().AtEnd() {
		b.say(isOver, false)
		return
	}
	b.player.RunTo(place)
}

func stateChange(e *sim.Event) bool { return e.Kind == sim.KindState }
func anyEvent(*sim.Event) bool      { return true }

// nextEvent goes to the next event of a kind, recorded or yet to come.
func nextEvent(wanted func(*sim.Event) bool) func(*Bench) tea.Cmd {
	return func(b *Bench) tea.Cmd {
		events := b.visible()
		for i := range events {
			if at := min(b.ticks(events[i].TS), b.player.Shown().Ticks); wanted(&events[i]) && at > b.player.Cursor() {
				b.goTo(at)
				return nil
			}
		}
		b.runTo(b.awaits(wanted))
		return nil
	}
}

// awaits is the place of the next event of a kind that is yet to come.
func (b *Bench) awaits(wanted func(*sim.Event) bool) player.Place {
	seen, hidden := b.player.Shown().Recorded, b.hider()
	reached := func(run *sim.Bench) bool {
		list := run.Events()
		newest := list[max(0, len(list)-(run.Recorded()-seen)):]
		seen = run.Recorded()
		return slices.ContainsFunc(newest, func(e sim.Event) bool { return wanted(&e) && !hidden(e.Kind) })
	}
	return player.Place{Reached: reached, GiveUp: b.player.Shown().Ticks + int64(10*time.Second/b.tick())}
}

// eventBefore goes to the event of a kind before the moment shown.
func eventBefore(wanted func(*sim.Event) bool) func(*Bench) tea.Cmd {
	return func(b *Bench) tea.Cmd {
		events := b.visible()
		for i := len(events) - 1; i >= 0; i-- {
			if at := b.ticks(events[i].TS); wanted(&events[i]) && at < b.player.Cursor() {
				b.goTo(at)
				return nil
			}
		}
		return b.toStart()
	}
}

func (b *Bench) toggleMouse() tea.Cmd {
	b.show.mouse = !b.show.mouse
	if b.show.mouse {
		b.say("the bench has the mouse; m returns it to the terminal", false)
		return tea.EnableMouseCellMotion
	}
	return tea.DisableMouse
}

// onMouse moves along the run.
func (b *Bench) onMouse(msg tea.MouseMsg) {
	if b.Case() == nil {
		return
	}
	switch {
	case msg.Button == tea.MouseButtonWheelUp:
		by(-100 * time.Millisecond)(b)
	case msg.Button == tea.MouseButtonWheelDown:
		by(100 * time.Millisecond)(b)
	case msg.Button == tea.MouseButtonLeft && msg.Action != tea.MouseActionRelease:
		b.onClick(msg.X, msg.Y)
	}
}

// onClick goes to the moment under the mouse if it was run already, or shows a tab.
func (b *Bench) onClick(x, y int) {
	if b.show.large {
		return
	}
	hits := view.HitsOf(b.size.Width, b.size.Height-1, b.scene())
	if tab, ok := hits.TabAt(x, y); ok {
		b.show.tab = tab
	}
	if at, ok := hits.TimeAt(x, y); ok {
		b.goTo(min(b.ticks(at), b.player.Shown().Ticks))
	}
}
