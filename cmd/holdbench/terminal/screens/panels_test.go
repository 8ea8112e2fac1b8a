package screens

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/history"
)

var update = flag.Bool("update", false, "rewrite golden files")

// goldenSizes are those that panels are looked at in.
var goldenSizes = [][2]int{{80, 24}, {120, 40}, {200, 60}}

// keyOf makes the message of a key as help writes it.
func keyOf(name string) tea.KeyMsg {
	for t, word := range map[tea.KeyType]string{
		tea.KeyEnter: "enter", tea.KeyEsc: "esc", tea.KeyTab: "tab", tea.KeyShiftTab: "shift+tab",
		tea.KeyUp: "up", tea.KeyDown: "down", tea.KeyLeft: "left", tea.KeyRight: "right",
		tea.KeyPgUp: "pgup", tea.KeyPgDown: "pgdown", tea.KeyHome: "home", tea.KeyEnd: "end",
		tea.KeyBackspace: "backspace", tea.KeyDelete: "delete", tea.KeyCtrlC: "ctrl+c", tea.KeyCtrlR: "ctrl+r",
		tea.KeyCtrlU: "ctrl+u", tea.KeyCtrlW: "ctrl+w", tea.KeyCtrlK: "ctrl+k", tea.KeyCtrlUp: "ctrl+up", tea.KeyCtrlDown: "ctrl+down",
		tea.KeyCtrlA: "ctrl+a", tea.KeyCtrlE: "ctrl+e", tea.KeySpace: " ",
	} {
		if word == name {
			msg := tea.KeyMsg{Type: t}
			if t == tea.KeySpace {
				msg.Runes = []rune{' '}
			}
			return msg
		}
	}
	return tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(name)}
}

// results runs a command to its end and lists what it sent, in order.
func results(t *testing.T, cmd tea.Cmd) []tea.Msg {
	t.Helper()
	if cmd == nil {
		return nil
	}
	msg := cmd()
	var list []tea.Msg
	if commands, ok := asCommands(msg); ok {
		for _, c := range commands {
			list = append(list, results(t, c)...)
		}
		return list
	}
	if msg != nil {
		list = append(list, msg)
	}
	return list
}

// sized tells a screen its size and lets it finish what it begins with.
func sized[S Screen](t *testing.T, s S, w, h int) S {
	t.Helper()
	feed(t, s, tea.WindowSizeMsg{Width: w, Height: h})
	for _, msg := range results(t, s.Init()) {
		feed(t, s, msg)
	}
	return s
}

// feed gives a screen a message, and all messages of its own that come of it; the others
// are returned.
func feed(t *testing.T, s Screen, msg tea.Msg) []tea.Msg {
	t.Helper()
	_, cmd := s.Update(msg)
	var others []tea.Msg
	for _, m := range results(t, cmd) {
		switch m.(type) {
		case previewed, listed, written:
			others = append(others, feed(t, s, m)...)
		default:
			others = append(others, m)
		}
	}
	return others
}

// press gives keys one after the other and returns what the last one sent.
func press(t *testing.T, s Screen, keys ...string) []tea.Msg {
	t.Helper()
	var last []tea.Msg
	for _, k := range keys {
		last = feed(t, s, keyOf(k))
	}
	return last
}

// typed types a text letter by letter.
func typed(t *testing.T, s Screen, text string) {
	t.Helper()
	for _, r := range text {
		press(t, s, string(r))
	}
}

// text is a screen as plain text over a backdrop that shows through where it should not.
// The lowest row is the one of the keys.
func text(s Screen, w, h int) string {
	p := page.New(w, h, false)
	p.Area().Fill('~', page.Plain)
	r := s.Place(w, h-1)
	DrawHints(p.Area().Sub(0, h-1, w, 1), s.Keys())
	s.Draw(p.Area().Sub(r.X, r.Y, r.W, r.H))
	return p.Text()
}

// golden compares a screen with the one that has been reviewed.
func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name+".txt")
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(file, []byte(got+"\n"), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, string(want), got+"\n", "run with -update if the new screen is better, and look at it")
}

func loadCase(t *testing.T, name string) *sim.Case {
	t.Helper()
	c, _, err := scenarios.LoadCase(name, scenarios.Overrides{})
	require.NoError(t, err)
	return c
}

// ranFor is a run of a scenario up to a time in ms; 0 is its end.
func ranFor(t *testing.T, name string, ms int64) *history.Run {
	t.Helper()
	run := history.New(loadCase(t, name))
	ticks := ms * 4 // of 250 us
	if ms == 0 {
		ticks = 1 << 40
	}
	run.Advance(ticks, nil)
	return run
}

func sizeName(name string, size [2]int) string {
	return fmt.Sprintf("%s-%dx%d", name, size[0], size[1])
}

func click(x, y int) tea.MouseMsg {
	return tea.MouseMsg{X: x, Y: y, Button: tea.MouseButtonLeft, Action: tea.MouseActionPress}
}

func turn(x, y int, button tea.MouseButton) tea.MouseMsg {
	return tea.MouseMsg{X: x, Y: y, Button: button, Action: tea.MouseActionPress}
}

// find is the cell in which a text begins on the screen.
func find(t *testing.T, s Screen, what string, w, h int) (x, y int) {
	t.Helper()
	for y, line := range strings.Split(text(s, w, h), "\n") {
		if before, _, found := strings.Cut(line, what); found {
			return utf8.RuneCountInString(before), y
		}
	}
	require.Fail(t, "the screen does not show "+what, text(s, w, h))
	return 0, 0
}
