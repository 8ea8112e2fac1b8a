package screens

import (
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/history"
)

// panelMaker makes one panel anew.
type panelMaker struct {
	name string
	make func() Screen
}

// everyPanel makes every panel in every state that looks different.
func everyPanel(t *testing.T) []panelMaker {
	t.Helper()
	early, over := ranFor(t, "lining-worn-thin", 600), ranFor(t, "lining-worn-thin", 0)
	result, err := over.Result()
	require.NoError(t, err)
	folder := t.TempDir()
	look := early.View()
	inject := func(run *history.Run, view *sim.View) *injectScreen {
		return newInject(view, run.Case())
	}
	return []panelMaker{
		{"choose", func() Screen { return newChoose(chooseNow{Reference: "lining-worn-thin", Folder: folder}, true) }},
		{"choose a file", func() Screen {
			return newChoose(chooseNow{Reference: "nowhere.yaml", Folder: folder, Overrides: scenarios.Overrides{Rig: "no", Seed: 3}}, true)
		}},
		{"inject", func() Screen { return inject(early, look) }},
		{"inject form", func() Screen {
			p := inject(early, look)
			p.list.filter.set("lining-worn")
			p.list.search()
			p.take()
			return p
		}},
		{"values", func() Screen { return newValues(early.Case(), early.Case().Scenario.Set, nil) }},
		{"changes", func() Screen {
			played := loadCase(t, "lining-worn-thin").Scenario
			return newDifferences(&early.Case().Scenario, &played, &scenarios.Overrides{})
		}},
		{"no changes", func() Screen {
			return newDifferences(&early.Case().Scenario, &early.Case().Scenario, &scenarios.Overrides{})
		}},
		{"another part", func() Screen {
			return newDifferences(&early.Case().Scenario, &early.Case().Scenario, &scenarios.Overrides{Rig: "store-lift"})
		}},
		{"keep", func() Screen { return newKeep(&over.Case().Scenario, over.PlayedScenario(), "", result, folder) }},
		{"keep too early", func() Screen { return newKeep(&early.Case().Scenario, early.PlayedScenario(), "", nil, folder) }},
		{"ask", func() Screen { return newAsk("Leave holdbench?", lost, nil) }},
		{"ask at length", func() Screen { return newAsk(lost+lost, lost+lost+lost+lost, nil) }},
		{"help", func() Screen { return newTestHelp() }},
	}
}

// sizeStep is larger where tests shall be short.
func sizeStep() int {
	if testing.Short() {
		return 4
	}
	return 1
}

// No size makes a panic, and no panel leaves the screen.
func TestPanelsAtEverySize(t *testing.T) {
	t.Parallel()
	for _, m := range everyPanel(t) {
		t.Run(m.name, func(t *testing.T) {
			s := m.make()
			for w := 0; w <= 210; w += 10 * sizeStep() {
				for h := 0; h <= 64; h += 6 * sizeStep() {
					s.Update(tea.WindowSizeMsg{Width: w, Height: h})
					r := s.Place(w, max(0, h-1))
					require.True(t, r.X >= 0 && r.Y >= 0 && r.W >= 0 && r.H >= 0 && r.X+r.W <= w && r.Y+r.H <= max(0, h-1), "%v at %dx%d", r, w, h)
					text(s, w, max(1, h))
				}
			}
		})
	}
}

// Before it has a size, a panel can be drawn and takes keys.
func TestPanelsWithoutASize(t *testing.T) {
	t.Parallel()
	for _, m := range everyPanel(t) {
		s := m.make()
		s.Draw(page.New(80, 24, true).Area())
		s.Draw(page.Area{})
		for _, k := range []string{"down", "pgdown", "end", "up", "tab", "x", "enter"} {
			s.Update(keyOf(k))
		}
		s.Update(click(3, 3))
		s.Draw(page.New(80, 24, false).Area())
	}
}

// Whatever is pressed, clicked and resized, in whatever order its commands end: no panic,
// every key is taken but the one that ends the program, and esc leads out.
func TestPanelsUnderAnyKeys(t *testing.T) {
	t.Parallel()
	makers := everyPanel(t)
	names := []string{
		"enter", "tab", "shift+tab", "up", "down", "left", "right", "pgup", "pgdown", "home", "end", "backspace",
		"delete", "ctrl+r", "ctrl+u", "ctrl+w", "ctrl+k", "ctrl+up", "ctrl+down", " ", "a", "e", "r", "1", "0", ".", "-", "/", "q", "?", "字", "esc",
	}
	rapid.Check(t, func(t *rapid.T) {
		m := makers[rapid.IntRange(0, len(makers)-1).Draw(t, "panel")]
		s := m.make()
		waiting := []tea.Cmd{}
		for range rapid.IntRange(0, 25).Draw(t, "steps") {
			var msg tea.Msg
			switch rapid.IntRange(0, 9).Draw(t, "kind") {
			case 0:
				msg = tea.WindowSizeMsg{Width: rapid.IntRange(0, 210).Draw(t, "w"), Height: rapid.IntRange(0, 64).Draw(t, "h")}
			case 1:
				button := rapid.SampledFrom([]tea.MouseButton{tea.MouseButtonLeft, tea.MouseButtonRight, tea.MouseButtonWheelUp, tea.MouseButtonWheelDown})
				msg = turn(rapid.IntRange(0, 120).Draw(t, "x"), rapid.IntRange(0, 40).Draw(t, "y"), button.Draw(t, "button"))
			case 2:
				msg = own(&waiting)
			default:
				msg = keyOf(rapid.SampledFrom(names).Draw(t, "key"))
			}
			taken, cmd := s.Update(msg)
			if _, isKey := msg.(tea.KeyMsg); isKey {
				require.True(t, taken)
			}
			if cmd != nil {
				waiting = append(waiting, cmd)
			}
			s.Draw(page.New(80, 24, false).Area())
			s.Keys()
		}
	})
}

// own runs the oldest command and gives a message that is for the panel itself.
func own(waiting *[]tea.Cmd) tea.Msg {
	if len(*waiting) == 0 {
		return nil
	}
	cmd := (*waiting)[0]
	*waiting = (*waiting)[1:]
	switch msg := cmd().(type) {
	case previewed, listed, written:
		return msg
	}
	return nil
}

// Every key that a panel names is one that it knows.
func TestPanelsNameTheirKeys(t *testing.T) {
	t.Parallel()
	for _, m := range everyPanel(t) {
		s := m.make()
		keys := s.Keys()
		require.NotEmpty(t, keys, m.name)
		for _, k := range keys {
			require.True(t, k.Enabled(), m.name)
			require.NotEmpty(t, k.Help().Key, m.name)
			require.NotEmpty(t, k.Help().Desc, m.name)
		}
	}
}

// On a terminal of ASCII only, every sign of ours has another.
func TestPanelsInASCII(t *testing.T) {
	t.Parallel()
	for _, m := range everyPanel(t) {
		s := m.make()
		s.Update(tea.WindowSizeMsg{Width: 120, Height: 40})
		p := page.New(120, 40, true)
		s.Draw(p.Area())
		for _, r := range p.Text() {
			require.Less(t, r, rune(0x7f), m.name)
		}
		if m.name != "help" && m.name != "ask" { // these have question marks of their own
			require.NotContains(t, p.Text(), "?", m.name)
		}
	}
}
