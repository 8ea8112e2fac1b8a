package screens

import (
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/cmd/holdbench/terminal/player"
	"holdbench/sim"
)

// user draws inputs of a user and orders of other screens.
type user struct {
	*rapid.T
	cases []*sim.Case
}

func (s user) number(least, most int, what string) int {
	return rapid.IntRange(least, most).Draw(s.T, what)
}

// slowClock goes on by some time with every look at it, so that long jobs are late.
func slowClock(ms int) func() time.Time {
	var now time.Time
	return func() time.Time {
		now = now.Add(time.Duration(ms) * time.Millisecond)
		return now
	}
}

// message is anything that can come, at any moment.
func (s user) message(d *desk) tea.Msg {
	switch s.number(0, 11, "kind") {
	case 0:
		return tea.WindowSizeMsg{Width: s.number(0, 210, "w"), Height: s.number(0, 64, "h")}
	case 1:
		buttons := []tea.MouseButton{tea.MouseButtonLeft, tea.MouseButtonRight, tea.MouseButtonWheelUp, tea.MouseButtonWheelDown}
		return turn(s.number(0, 130, "x"), s.number(0, 45, "y"), rapid.SampledFrom(buttons).Draw(s.T, "button"))
	case 2:
		d.now = d.now.Add(time.Duration(s.number(0, 300, "ms")) * time.Millisecond)
		return Frame(d.now)
	case 3:
		return s.order()
	}
	return keyOf(rapid.SampledFrom([]string{
		" ", ".", ",", "s", "S", "e", "E", "left", "right", "[", "]", "home", "end", "+", "-", "t", "c", "x", "p", "f", "v", "r",
		"u", "U", "tab", "z", "g", "o", "h", "l", "n", "b", "k", "w", "L", "m", "?", "q", "enter", "esc", "up", "down", "1", "2", "y", "ctrl+r",
	}).Draw(s.T, "key"))
}

// order is what another screen may ask the bench for.
func (s user) order() tea.Msg {
	targets := []map[string]string{
		{"brake.condition": "0.3"}, {"encoder.frozen": "true"}, {"load.mass_kg": "220"}, {"link.down": "true"}, {"brake.condition": "-1"}, {"nothing": "1"},
	}
	sets := []map[string]string{nil, {"rig.load.mass_kg": "150"}, {"rig.load.mass_kg": "-1"}, {"judge.dwell": "500ms"}}
	switch s.number(0, 8, "order") {
	case 0, 1:
		f := sim.Fault{Set: rapid.SampledFrom(targets).Draw(s.T, "fault")}
		if state := rapid.SampledFrom([]string{"", "press_down", "close_brake", "nowhere"}).Draw(s.T, "state"); state != "" {
			f.When = &sim.Moment{State: state}
		}
		return injectFault{f}
	case 2:
		return removeFault{s.number(-1, 3, "place")}
	case 3:
		return setValues{rapid.SampledFrom(sets).Draw(s.T, "set")}
	case 4:
		return Play{}
	case 5:
		return beginRun{Case: rapid.SampledFrom(s.cases).Draw(s.T, "case")}
	case 6:
		return Chosen{Reference: rapid.SampledFrom([]string{"healthy-down", "no-such-scenario", "lining-worn-thin"}).Draw(s.T, "scenario")}
	case 7:
		return Notice{Text: "something", Bad: rapid.Bool().Draw(s.T, "bad")}
	}
	return RunKept{"somewhere"}
}

// Whatever is pressed, clicked and asked for, in whatever order its commands end: nothing
// panics, all work comes to an end, and what was played gives the same run again.
func TestBenchUnderAnything(t *testing.T) {
	t.Parallel()
	cases := []*sim.Case{loadCase(t, "healthy-down-and-up"), loadCase(t, "lining-worn-thin"), loadCase(t, "healthy-down")}
	folder := t.TempDir()
	rapid.Check(t, func(rt *rapid.T) {
		s := user{rt, cases}
		d := newDeskOf(t, folder, rapid.SampledFrom(cases).Draw(rt, "begins with"))
		d.bench.worker.now = slowClock(s.number(0, 20, "ms a look"))
		for range s.number(0, 40, "steps") {
			if len(d.pending) > 0 && s.number(0, 2, "work") > 0 {
				d.step(s.number(0, len(d.pending)-1, "command"))
				continue
			}
			d.post(s.message(d))
			d.bench.Draw(page.New(80, 24, false).Area())
			d.top().Draw(page.New(60, 20, false).Area())
		}
		d.drain()
		b := d.bench
		require.False(rt, b.player.Busy(), "no job is under way")
		require.False(rt, b.player.Changing())
		require.Contains(rt, []player.State{player.Idle, player.Playing}, b.player.State(), "no moment and no place is still to come")
		_, due := b.player.Next()
		require.False(rt, due, "nothing waits")
		require.LessOrEqual(rt, len(b.runs.list), maxRuns)
		require.Same(rt, b.runs.now(), b.player.Shown().Run)
		same(rt, b.runs.now(), d.replay(), "what was played")
	})
}
