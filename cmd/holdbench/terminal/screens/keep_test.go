package screens

import (
	"os"
	"path/filepath"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
)

// newTestKeep is the panel over a run to its end.
func newTestKeep(t *testing.T, folder string, w, h int) *keepScreen {
	t.Helper()
	run := ranFor(t, "lining-worn-thin", 0)
	result, err := run.Result()
	require.NoError(t, err)
	return sized(t, newKeep(run.PlayedScenario(), result, folder), w, h)
}

func TestKeepWrites(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		keys  []string
		file  string
		title string
	}{
		{"as offered", nil, "lining-worn-thin-tried.yaml", "Lining worn below the test torque"},
		{"another name", []string{"ctrl+u", "m", "i", "n", "e"}, "mine.yaml", "Lining worn below the test torque"},
		{"another title", []string{"tab", "ctrl+u", "M", "y"}, "lining-worn-thin-tried.yaml", "My"},
		{"another title, by the arrows", []string{"down", "ctrl+u", "M", "y", "up"}, "lining-worn-thin-tried.yaml", "My"},
	} {
		t.Run(c.name, func(t *testing.T) {
			folder := t.TempDir()
			k := newTestKeep(t, folder, 80, 24)
			press(t, k, c.keys...)
			path := filepath.Join(folder, c.file)
			assert.Equal(t, []tea.Msg{Close{}, RunKept{path}}, press(t, k, "enter"))

			got, _, err := scenarios.LoadCase(path, scenarios.Overrides{})
			require.NoError(t, err)
			assert.Equal(t, c.title, got.Scenario.Title)
			assert.Empty(t, got.Scenario.Lesson, "it was written for another run")
			result, err := sim.Run(got, nil)
			require.NoError(t, err)
			assert.True(t, result.Met(), "the run that was kept is what it expects")
			assert.Equal(t, sim.Caught, result.Class)
		})
	}
}

func TestKeepRefuses(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		keys []string
		says string
	}{
		{"no name", []string{"ctrl+u"}, `name is ""; must be letters, digits and hyphens`},
		{"a folder", []string{"/"}, `must be letters, digits and hyphens`},
		{"a name that is built in", []string{"ctrl+u", "h", "o", "t", "-", "b", "r", "a", "k", "e"}, "a built-in scenario has it"},
		{"no title", []string{"tab", "ctrl+u"}, "title is missing"},
	} {
		t.Run(c.name, func(t *testing.T) {
			folder := t.TempDir()
			k := newTestKeep(t, folder, 120, 40)
			press(t, k, c.keys...)
			assert.Empty(t, press(t, k, "enter"))
			assert.Contains(t, text(k, 120, 40), c.says)
			files, err := os.ReadDir(folder)
			require.NoError(t, err)
			assert.Empty(t, files)
		})
	}
	t.Run("NoFolder", func(t *testing.T) {
		k := newTestKeep(t, filepath.Join(t.TempDir(), "none"), 200, 60)
		assert.Empty(t, press(t, k, "enter"))
		assert.Contains(t, k.wrong, "there is no folder")
		assert.Equal(t, []tea.Msg{Close{}}, press(t, k, "esc"), "it is not busy any more")
	})
}

func TestKeepAsksBeforeItReplaces(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	path := filepath.Join(folder, "lining-worn-thin-tried.yaml")
	require.NoError(t, os.WriteFile(path, []byte("mine"), 0o644))
	k := newTestKeep(t, folder, 80, 24)

	got := press(t, k, "enter")
	require.Len(t, got, 1)
	ask := got[0].(Open).Screen.(*askScreen)
	assert.Equal(t, "Replace lining-worn-thin-tried.yaml?", ask.question)
	there, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, "mine", string(there), "nothing was written yet")

	other := newTestKeep(t, folder, 80, 24)
	yes := press(t, ask, "y")
	assert.Empty(t, feed(t, other, yes[1]), "it was not its question")
	assert.Equal(t, []tea.Msg{Close{}, RunKept{path}}, feed(t, k, yes[1]))
	there, err = os.ReadFile(path)
	require.NoError(t, err)
	assert.Contains(t, string(there), "scenario: lining-worn-thin-tried")
}

// A run that is not over has nothing to be expected.
func TestKeepWantsTheEnd(t *testing.T) {
	t.Parallel()
	run := ranFor(t, "lining-worn-thin", 600)
	k := sized(t, newKeep(run.PlayedScenario(), nil, t.TempDir()), 80, 24)
	assert.Contains(t, text(k, 80, 24), "The run has not ended")
	assert.Empty(t, press(t, k, "enter"))
	assert.Empty(t, press(t, k, "x"))
	assert.False(t, k.Typing())
	assert.Equal(t, []tea.Msg{Close{}}, press(t, k, "esc"))
}

// While the file is written no key does anything, so that its end finds the panel.
func TestKeepWaitsForTheFile(t *testing.T) {
	t.Parallel()
	k := newTestKeep(t, t.TempDir(), 80, 24)
	_, write := k.Update(keyOf("enter"))
	require.NotNil(t, write)
	assert.Contains(t, text(k, 80, 24), "writing")
	for _, name := range []string{"enter", "esc", "x"} {
		taken, cmd := k.Update(keyOf(name))
		assert.True(t, taken)
		assert.Nil(t, cmd)
	}
	got := feed(t, k, write())
	assert.Len(t, got, 2)
}

func TestKeepTwice(t *testing.T) {
	t.Parallel()
	run := ranFor(t, "lining-worn-thin", 0)
	result, err := run.Result()
	require.NoError(t, err)
	s := run.PlayedScenario()
	s.Scenario = "mine-tried"
	assert.Equal(t, "mine-tried", newKeep(s, result, "").name(), "the ending comes once")
}

func TestKeepMouse(t *testing.T) {
	t.Parallel()
	k := newTestKeep(t, t.TempDir(), 80, 24)
	x, y := find(t, k, "title", 80, 24)
	feed(t, k, click(x, y))
	assert.Equal(t, titleField, k.field)
	feed(t, k, tea.WindowSizeMsg{Width: 80, Height: 12})
	feed(t, k, turn(5, 5, tea.MouseButtonWheelDown))
	assert.Positive(t, k.offset)
	press(t, k, "pgdown", "ctrl+down", "ctrl+up", "pgup", "pgup", "pgup", "pgup", "pgup")
	assert.Zero(t, k.offset)
}

func TestKeepScreens(t *testing.T) {
	t.Parallel()
	for _, size := range goldenSizes {
		w, h := size[0], size[1]
		golden(t, sizeName("keep", size), text(newTestKeep(t, "/machines/hoist", w, h), w, h))
	}
	k := sized(t, newKeep(sim.Scenario{Scenario: "mine"}, nil, "."), 80, 24)
	golden(t, "keep-too-early-80x24", text(k, 80, 24))
}
