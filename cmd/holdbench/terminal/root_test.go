package terminal

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/cmd/holdbench/terminal/screens"
	"holdbench/scenarios"
	"holdbench/sim"
)

var update = flag.Bool("update", false, "rewrite golden files")

// seat is the whole model without a terminal. Frames come only when a test sends them.
type seat struct {
	*root
	t       testing.TB
	frames  int // that were asked for
	pending []tea.Cmd
	sent    []tea.Msg // what came of commands, in order
	ended   bool
}

// newSeat opens the bench with a built-in scenario on it, without a size.
func newSeat(tb testing.TB, scenario string) *seat {
	tb.Helper()
	c, _, err := scenarios.LoadCase(scenario, scenarios.Overrides{})
	require.NoError(tb, err)
	return newSeatOf(tb, tb.TempDir(), c)
}

func newSeatOf(tb testing.TB, folder string, c *sim.Case) *seat {
	tb.Helper()
	worker := screens.NewWorker(tb.Context())
	tb.Cleanup(worker.Close)
	s := &seat{t: tb}
	s.root = newRoot(worker, Options{Reference: c.Scenario.Scenario, Case: c, Folder: folder})
	s.bench.NextFrame = func() tea.Cmd { s.frames++; return nil }
	s.pending = []tea.Cmd{s.Init()}
	return s
}

// opened is the bench at a size with its first run.
func opened(tb testing.TB, scenario string, w, h int) *seat {
	tb.Helper()
	s := newSeat(tb, scenario)
	s.send(tea.WindowSizeMsg{Width: w, Height: h})
	s.sent = nil
	return s
}

// post gives a message and leaves what comes of it for later.
func (s *seat) post(msg tea.Msg) {
	_, cmd := s.Update(msg)
	s.pending = append(s.pending, cmd)
}

// send gives a message and runs all commands that come of it.
func (s *seat) send(msg tea.Msg) {
	s.t.Helper()
	s.post(msg)
	const most = 20000
	for steps := 0; len(s.pending) > 0; steps++ {
		require.Less(s.t, steps, most, "it comes to no end")
		s.step(0)
	}
}

// step runs one command that is pending.
func (s *seat) step(place int) {
	cmd := s.pending[place]
	s.pending = slices.Delete(s.pending, place, place+1)
	if cmd == nil {
		return
	}
	msg := cmd()
	if v := reflect.ValueOf(msg); v.IsValid() && v.Kind() == reflect.Slice && v.Type().Elem() == reflect.TypeFor[tea.Cmd]() {
		for i := range v.Len() { // a batch or a sequence, whose type has no name outside the library
			s.pending = slices.Insert(s.pending, place+i, v.Index(i).Interface().(tea.Cmd))
		}
		return
	}
	if msg == nil {
		return
	}
	s.sent = append(s.sent, msg)
	if _, ended := msg.(tea.QuitMsg); ended {
		s.ended = true
		return
	}
	s.post(msg)
}

func (s *seat) press(names ...string) {
	s.t.Helper()
	for _, name := range names {
		s.send(keyOf(name))
	}
}

// keyOf makes the message of a key as help writes it.
func keyOf(name string) tea.KeyMsg {
	for t := tea.KeyType(-100); t <= tea.KeyBackspace; t++ {
		if t != tea.KeyRunes && t.String() == name {
			msg := tea.KeyMsg{Type: t}
			if t == tea.KeySpace {
				msg.Runes = []rune(name)
			}
			return msg
		}
	}
	return tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(name)}
}

// text is the screen.
func (s *seat) text() string { return s.page.Text() }

// golden compares the screen with the one that has been reviewed.
func (s *seat) golden(name string) {
	s.t.Helper()
	file := filepath.Join("testdata", fmt.Sprintf("%s-%dx%d.txt", name, s.width, s.height))
	if *update {
		require.NoError(s.t, os.MkdirAll("testdata", 0o755))
		require.NoError(s.t, os.WriteFile(file, []byte(s.text()+"\n"), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(s.t, err)
	assert.Equal(s.t, string(want), s.text()+"\n", "run with -update if the new screen is better, and look at it")
}

// plain takes the escapes out of a screen.
func plain(text string) string {
	return regexp.MustCompile(`\x1b\[[0-9;]*[a-zA-Z]`).ReplaceAllString(text, "")
}

// trimmed is a text without the blanks at the ends of its lines.
func trimmed(text string) string {
	lines := strings.Split(strings.ReplaceAll(text, "\r", ""), "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " ")
	}
	return strings.Join(lines, "\n")
}

func TestViewBeforeAnySize(t *testing.T) {
	t.Parallel()
	s := newSeat(t, "healthy-down")
	assert.Empty(t, s.View())
	s.send(tea.WindowSizeMsg{})
	assert.Empty(t, strings.TrimSpace(plain(s.View())))
	for _, name := range []string{"right", "l", "esc", "?", "esc", "end", "k", "esc", "q"} {
		s.press(name)
	}
	assert.True(t, s.ended)
}

// The view is the page that the last update drew, with nothing but signs and looks.
func TestViewIsThePage(t *testing.T) {
	t.Parallel()
	for _, size := range [][2]int{{1, 1}, {40, 10}, {80, 24}, {120, 40}, {200, 60}} {
		s := opened(t, "lining-worn-thin", size[0], size[1])
		for _, name := range []string{"]", "f", "esc", "l", "esc", "end", "k", "esc", "?"} {
			s.press(name)
			require.Equal(t, trimmed(s.text()), trimmed(plain(s.View())))
			lines := strings.Split(s.text(), "\n")
			require.LessOrEqual(t, len(lines), size[1])
		}
	}
}

func TestFirstScreen(t *testing.T) {
	t.Parallel()
	for _, size := range [][2]int{{80, 24}, {120, 40}, {200, 60}} {
		s := opened(t, "healthy-down-and-up", size[0], size[1])
		last := s.text()[strings.LastIndex(s.text(), "\n")+1:]
		assert.Contains(t, last, "? help")
		assert.Contains(t, last, "q leave", "the last row says what can be pressed, and how to leave")
	}
}

// recorder is a screen that takes the keys that it is given.
type recorder struct {
	takes  string
	got    []tea.Msg
	typing bool
	place  screens.Rect
}

func (r *recorder) Init() tea.Cmd { return screens.Send("begins") }
func (r *recorder) Update(msg tea.Msg) (bool, tea.Cmd) {
	r.got = append(r.got, msg)
	k, ok := msg.(tea.KeyMsg)
	_, mouse := msg.(tea.MouseMsg)
	return ok && strings.Contains(r.takes, k.String()) || mouse, nil
}
func (r *recorder) Draw(a page.Area)            { a.Fill('#', page.Plain) }
func (r *recorder) Place(int, int) screens.Rect { return r.place }
func (r *recorder) Keys() []key.Binding         { return nil }
func (r *recorder) Typing() bool                { return r.typing }
func (r *recorder) keys() (list []string)       { return texts[tea.KeyMsg](r.got) }
func texts[M fmt.Stringer](msgs []tea.Msg) (list []string) {
	for _, msg := range msgs {
		if m, ok := msg.(M); ok {
			list = append(list, m.String())
		}
	}
	return list
}

func TestRouting(t *testing.T) {
	t.Parallel()
	s := opened(t, "healthy-down-and-up", 80, 24)
	low := &recorder{takes: "ab", place: screens.Rect{X: 0, Y: 10, W: 40, H: 10}}
	high := &recorder{takes: "a", place: screens.Rect{X: 5, Y: 15, W: 10, H: 5}}
	s.send(screens.Open{Screen: low})
	s.send(screens.Open{Screen: high})
	size := tea.WindowSizeMsg{Width: 80, Height: 24}
	assert.Equal(t, []tea.Msg{size, "begins"}, high.got, "a screen hears its size first")
	assert.Equal(t, []tea.Msg{size, "begins", "begins"}, low.got, "what is no key goes to all")

	s.press("a", "b", "+")
	assert.Equal(t, []string{"a", "b", "+"}, high.keys(), "keys go to the topmost")
	assert.Equal(t, []string{"b", "+"}, low.keys(), "and down until one takes them")
	assert.Contains(t, s.text(), "2×", "the bench took the last")

	low.got, high.got = nil, nil
	s.send(tea.MouseMsg{X: 6, Y: 16, Button: tea.MouseButtonLeft})
	s.send(tea.MouseMsg{X: 30, Y: 12, Button: tea.MouseButtonLeft})
	assert.Len(t, high.got, 1, "the mouse is of what is under it")
	assert.Len(t, low.got, 1)

	s.send(tea.WindowSizeMsg{Width: 100, Height: 30})
	assert.Equal(t, tea.WindowSizeMsg{Width: 100, Height: 30}, low.got[1])
	assert.Equal(t, tea.WindowSizeMsg{Width: 100, Height: 30}, high.got[1])

	for range 5 {
		s.send(screens.Close{})
	}
	assert.Equal(t, []screens.Screen{s.bench}, s.stack, "the bench stays")
	s.press("?", "esc", "l", "esc")
	assert.Len(t, s.stack, 1)
}

// Keys that come at once are taken one after the other, unless they are text.
func TestSeveralRunes(t *testing.T) {
	t.Parallel()
	s := opened(t, "healthy-down-and-up", 80, 24)
	top := &recorder{takes: "++-"}
	s.send(screens.Open{Screen: top})
	s.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("++-")})
	assert.Equal(t, []string{"+", "+", "-"}, top.keys())
	s.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("++-"), Paste: true})
	assert.Equal(t, "[++-]", top.keys()[3], "what is pasted is no keys")
	top.typing = true
	s.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("++-")})
	assert.Equal(t, "++-", top.keys()[4], "nor is text")
	s.send(screens.Close{})

	s.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("]]c")})
	assert.Contains(t, s.text(), "2.000 s")
	assert.Contains(t, s.text(), "◇ cancel")
}

func TestInterrupt(t *testing.T) {
	t.Parallel()
	t.Run("Nothing to lose", func(t *testing.T) {
		s := opened(t, "healthy-down-and-up", 80, 24)
		s.press("?", "ctrl+c")
		assert.True(t, s.ended, "also from a panel")
	})
	t.Run("Work", func(t *testing.T) {
		s := opened(t, "healthy-down-and-up", 80, 24)
		s.press("x", "l", "ctrl+c")
		assert.False(t, s.ended)
		assert.Contains(t, s.text(), "Leave holdbench?")
		s.press("ctrl+c")
		assert.True(t, s.ended, "the second time it does")
	})
	t.Run("Another question", func(t *testing.T) {
		s := opened(t, "healthy-down-and-up", 80, 24)
		s.press("x")
		s.send(screens.Chosen{Reference: "healthy-down"})
		require.Contains(t, s.text(), "Load another scenario?")
		s.press("ctrl+c")
		assert.False(t, s.ended, "its answer is not the one to this question")
		s.press("ctrl+c")
		assert.True(t, s.ended)
	})
	t.Run("Stays", func(t *testing.T) {
		s := opened(t, "healthy-down-and-up", 80, 24)
		s.press("x", "ctrl+c", "n")
		assert.Len(t, s.stack, 1)
		s.press("ctrl+c")
		assert.False(t, s.ended, "it is asked anew")
		s.press("y")
		assert.True(t, s.ended)
	})
	t.Run("Suspend", func(t *testing.T) {
		s := opened(t, "healthy-down-and-up", 80, 24)
		_, cmd := s.Update(keyOf("ctrl+z"))
		both, ok := cmd().(tea.BatchMsg)
		require.True(t, ok)
		assert.Equal(t, tea.Suspend(), both[0]())
		s.send(tea.ResumeMsg{})
		assert.Nil(t, both[1](), "nothing more waits for it")
	})
}

func TestQuit(t *testing.T) {
	t.Parallel()
	s := opened(t, "healthy-down-and-up", 80, 24)
	s.press("q")
	assert.True(t, s.ended)
	s = opened(t, "healthy-down-and-up", 80, 24)
	s.press("x", "q", "enter")
	assert.False(t, s.ended, "no comes of itself")
	s.press("q", "y")
	assert.True(t, s.ended)
}

// A frame by itself draws nothing: the page stays the one that it was.
func TestFrameDrawsNothing(t *testing.T) {
	t.Parallel()
	s := opened(t, "healthy-down-and-up", 80, 24)
	before := s.page
	s.send(screens.Frame(time.Unix(5, 0)))
	assert.Same(t, before, s.page)
	s.press(" ")
	s.send(screens.Frame(time.Unix(5, 0)))
	playing := s.page
	s.send(screens.Frame(time.Unix(5, 0).Add(time.Second / 30)))
	assert.NotSame(t, playing, s.page, "what the run has come to is drawn")
	assert.Equal(t, 3, s.frames)
}

var goldenSizes = [][2]int{{80, 24}, {120, 40}, {200, 60}}

// The lesson as it is seen over the bench.
func TestLessonScreens(t *testing.T) {
	t.Parallel()
	for _, size := range goldenSizes {
		s := opened(t, "lining-worn-thin", size[0], size[1])
		s.press("n")
		s.golden("lesson-opens")
		s.press("enter", "end")
		s.golden("lesson-question")
		s.press("2")
		s.golden("lesson-answered")
		for range 6 {
			s.press("enter", "end", "1")
		}
		require.Contains(t, s.text(), "end of the lesson")
		s.golden("lesson-ends")
		s.press("esc")
		assert.Len(t, s.stack, 1)
	}
}

// Questions for a number: typed, compared at once, and compared at the next stop.
func TestNumberScreens(t *testing.T) {
	t.Parallel()
	for _, size := range goldenSizes {
		s := opened(t, "requirement-equals-setpoint", size[0], size[1])
		s.press("n", "enter", "end", "3", "enter", "end", "1", ".", "4")
		s.golden("lesson-number")
		s.press("enter")
		require.Contains(t, s.text(), "The next stop shows what the run has.")
		s.press("enter", "end")
		s.golden("lesson-predicted")
	}
}

// The course over the bench, and a lesson of it that is not done.
func TestCourseScreens(t *testing.T) {
	t.Parallel()
	for _, size := range goldenSizes {
		s := opened(t, "healthy-down-and-up", size[0], size[1])
		s.press("N")
		s.golden("course")
		s.press("down", "enter", "enter", "end")
		s.golden("course-lesson")
	}
}

// The riddle as it is seen over the bench.
func TestRiddleScreens(t *testing.T) {
	t.Parallel()
	for _, size := range goldenSizes {
		s := opened(t, "healthy-down-and-up", size[0], size[1])
		s.press("b", "ctrl+u", "3", "3")
		s.golden("riddle-opens")
		s.press("enter", "end")
		s.golden("riddle-looks")
		s.press("enter")
		s.golden("riddle-cause")
		s.press("enter")
		s.golden("riddle-remedy")
		s.press("enter")
		s.golden("riddle-answer")
	}
}

// user draws an input from keyboard or mouse.
func user(t *rapid.T) tea.Msg {
	switch rapid.IntRange(0, 9).Draw(t, "kind") {
	case 0:
		return tea.WindowSizeMsg{Width: rapid.IntRange(0, 210).Draw(t, "w"), Height: rapid.IntRange(0, 64).Draw(t, "h")}
	case 1:
		button := rapid.SampledFrom([]tea.MouseButton{tea.MouseButtonLeft, tea.MouseButtonWheelUp, tea.MouseButtonWheelDown}).Draw(t, "button")
		return tea.MouseMsg{X: rapid.IntRange(-1, 210).Draw(t, "x"), Y: rapid.IntRange(-1, 64).Draw(t, "y"), Button: button, Action: tea.MouseActionPress}
	case 2:
		return screens.Frame(time.Unix(0, int64(rapid.IntRange(0, 1e9).Draw(t, "ns"))))
	case 3:
		return rapid.SampledFrom([]tea.Msg{
			screens.SaveScreen{}, screens.Close{}, screens.Notice{Text: "something"}, screens.Play{}, screens.Stopped{}, screens.Stops{}, nil,
		}).Draw(t, "message")
	case 4:
		return tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(rapid.StringMatching(`[a-zU\]+.,]{2,4}`).Draw(t, "runes"))}
	}
	return keyOf(rapid.SampledFrom([]string{
		" ", ".", "s", "S", "e", "left", "right", "[", "]", "home", "end", "+", "t", "c", "x", "p", "f", "v", "r", "u", "U", "tab", "shift+tab",
		"o", "h", "l", "n", "b", "k", "w", "m", "?", "q", "enter", "esc", "up", "down", "1", "2", "y", "ctrl+r", "ctrl+c", "ctrl+down", "pgdown", "shift+left", "shift+right",
	}).Draw(t, "key"))
}

// Whatever comes, in whatever order commands end: nothing panics, and the run on the bench
// can be kept and is the same again.
func TestRootUnderAnything(t *testing.T) {
	t.Parallel()
	c, _, err := scenarios.LoadCase("lining-worn-thin", scenarios.Overrides{Set: map[string]string{"rig.clock.tick": "1ms"}})
	require.NoError(t, err)
	folder := t.TempDir()
	kept := 0
	rapid.Check(t, func(rt *rapid.T) {
		s := newSeatOf(t, folder, c)
		for range rapid.IntRange(0, 40).Draw(rt, "steps") {
			if len(s.pending) > 0 && rapid.IntRange(0, 2).Draw(rt, "work") > 0 {
				s.step(rapid.IntRange(0, len(s.pending)-1).Draw(rt, "command"))
				continue
			}
			s.post(user(rt))
		}
		s.send(tea.WindowSizeMsg{Width: 120, Height: 40})
		s.stack = s.stack[:1]
		s.send(screens.MaskRiddle{})
		s.send(screens.Stops{})
		s.sent = nil
		s.press("end", "end")
		if strings.Contains(s.text(), "truth hidden") {
			s.press("h")
		}
		s.press("k")
		kept++
		s.press("ctrl+u")
		for _, r := range fmt.Sprintf("kept-%d", kept) {
			s.press(string(r))
		}
		s.press("enter")
		at := slices.IndexFunc(s.sent, func(msg tea.Msg) bool { _, ok := msg.(screens.RunKept); return ok })
		require.GreaterOrEqual(rt, at, 0, "%s", s.text())
		again, _, err := scenarios.LoadCase(s.sent[at].(screens.RunKept).Path, scenarios.Overrides{})
		require.NoError(rt, err)
		result, err := sim.Run(again, nil)
		require.NoError(rt, err)
		require.True(rt, result.Met(), "what was kept is what it expects")
	})
}
