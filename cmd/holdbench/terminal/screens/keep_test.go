package screens

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/history"
)

// newTestKeep is the panel over a run to its end.
func newTestKeep(t *testing.T, folder string, w, h int) *keepScreen {
	t.Helper()
	run := ranFor(t, "lining-worn-thin", 0)
	result, err := run.Result()
	require.NoError(t, err)
	return sized(t, newKeep(&run.Case().Scenario, run.PlayedScenario(), "", result, folder), w, h)
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
		{"the first key replaces", []string{"m", "y", "tab", "M", "y"}, "my.yaml", "My"},
		{"a key that moves keeps", []string{"left", "tab", "right", "!"}, "lining-worn-thin-tried.yaml", "Lining worn below the test torque!"},
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
		{"no name behind a folder", []string{"/"}, `must be letters, digits and hyphens`},
		{"a way up", []string{"ctrl+u", ".", ".", "/", "a"}, `must be letters, digits and hyphens`},
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
	t.Run("a file in place of a folder", func(t *testing.T) {
		file := filepath.Join(t.TempDir(), "file")
		require.NoError(t, os.WriteFile(file, nil, 0o600))
		k := newTestKeep(t, file, 200, 60)
		assert.Empty(t, press(t, k, "enter"))
		assert.Contains(t, k.wrong, "not a directory")
		assert.Equal(t, []tea.Msg{Close{}}, press(t, k, "esc"), "it is not busy any more")
	})
}

// Folders are made, what was done is in the title, references lead from the folder of the document, and a fault that was
// injected in a state is kept with the state; the run that was kept is the same.
func TestKeepWritesWhatWasDone(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	_, rig, err := scenarios.Text(scenarios.RigKind, "pane-hoist")
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "hoist.yaml"), bytes.Replace(rig, []byte("rig: pane-hoist"), []byte("rig: our-hoist"), 1), 0o600))
	c, _, err := scenarios.LoadCase("healthy-down", scenarios.Overrides{Rig: filepath.Join(folder, "hoist.yaml")})
	require.NoError(t, err)
	run := history.New(c)
	run.Advance(1<<40, func(b *sim.Bench) bool { return b.View().TS > 3 })
	branch := run.At(run.Ticks())
	require.NoError(t, branch.Inject(sim.Fault{Set: map[string]string{"brake.condition": "0.35"}}))
	for branch.Tick() {
		continue
	}
	result, err := branch.Result()
	require.NoError(t, err)
	played := branch.PlayedScenario()
	played.Rig = sim.Reference{Name: "hoist.yaml"}

	k := sized(t, newKeep(&c.Scenario, played, folder, result, folder), 120, 40)
	press(t, k, "ctrl+u")
	typed(t, k, "mine/worn/tried")
	file := filepath.Join(folder, "mine", "worn", "tried.yaml")
	require.Equal(t, []tea.Msg{Close{}, RunKept{file}}, press(t, k, "enter"))
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Contains(t, string(text), "rig: ../../hoist.yaml")
	assert.Regexp(t, `title: "?As healthy-down, but \d+ms into press_down: brake\.condition = 0\.35"?\n`, string(text))
	assert.NotContains(t, string(text), c.Scenario.Title, "the document's title says that the brake is healthy")
	assert.Regexp(t, `when: \{state: press_down, after: [0-9.]+ms\}|state: press_down`, string(text))
	assert.NotContains(t, string(text), "at: 3")
	kept, _, err := scenarios.LoadCase(file, scenarios.Overrides{Reach: scenarios.Anywhere})
	require.NoError(t, err)
	again, err := sim.Run(kept, nil)
	require.NoError(t, err)
	assert.True(t, again.Met())
	assert.Equal(t, result.DurationS, again.DurationS)
	assert.Equal(t, result.SlipDeg, again.SlipDeg)
}

// A fault in a later stay in a state, or in the state that the run begins in, keeps its moment of the run.
func TestStateAt(t *testing.T) {
	t.Parallel()
	enters := func(ts float64, from, to string) sim.Event {
		return sim.Event{Type: sim.EventStateEntered, Kind: sim.KindState, TS: ts, Subject: from, Snapshot: sim.Snapshot{State: to}}
	}
	events := []sim.Event{enters(0.5, "ready", "travel"), enters(2, "travel", "press"), enters(3, "press", "travel"), enters(4, "travel", "ready")}
	for _, c := range []struct {
		at   time.Duration
		want sim.Moment
		ok   bool
	}{
		{400 * time.Millisecond, sim.Moment{}, false},
		{500 * time.Millisecond, sim.Moment{State: "travel"}, true},
		{1900 * time.Millisecond, sim.Moment{State: "travel", After: 1400 * time.Millisecond}, true},
		{2250 * time.Millisecond, sim.Moment{State: "press", After: 250 * time.Millisecond}, true},
		{3500 * time.Millisecond, sim.Moment{}, false},
		{4500 * time.Millisecond, sim.Moment{}, false},
	} {
		got, ok := stateAt(c.at, events)
		assert.Equal(t, c.ok, ok, c.at)
		assert.Equal(t, c.want, got, c.at)
	}
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

// What the operator did keeps its time, as a step of a script has no state; the panel says so.
func TestKeepSaysThatActionsKeepTheirTime(t *testing.T) {
	t.Parallel()
	c := loadCase(t, "healthy-down")
	run := history.New(c)
	run.Advance(1<<40, func(b *sim.Bench) bool { return b.View().TS > 2.91 })
	branch := run.At(run.Ticks())
	require.NoError(t, branch.SetButton("estop", true))
	for branch.Tick() {
		continue
	}
	result, err := branch.Result()
	require.NoError(t, err)
	played := branch.PlayedScenario()
	exact := played.Script[1].At
	require.NotEqual(t, exact, exact.Round(time.Millisecond))
	k := sized(t, newKeep(&c.Scenario, played, "", result, t.TempDir()), 100, 60)
	panel := text(k, 100, 60)
	assert.Contains(t, panel, "at "+timeText(exact.Round(time.Millisecond))+": estop on")
	assert.NotContains(t, panel, timeText(exact))
	assert.Contains(t, joined(panel), "An action keeps its time in the run")
	assert.NotContains(t, joined(text(newTestKeep(t, t.TempDir(), 100, 60), 100, 60)), "An action keeps its time")
}

// A run that is not over has nothing to be expected.
func TestKeepWantsTheEnd(t *testing.T) {
	t.Parallel()
	run := ranFor(t, "lining-worn-thin", 600)
	k := sized(t, newKeep(&run.Case().Scenario, run.PlayedScenario(), "", nil, t.TempDir()), 80, 24)
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
	assert.Equal(t, "mine-tried", newKeep(&s, s, "", result, "").name(), "the ending comes once")
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

// A field shows what it was before, and the file cannot be written into: it follows the name.
func TestKeepShowsOldAndNew(t *testing.T) {
	t.Parallel()
	k := newTestKeep(t, "/machines/hoist", 80, 24)
	typed(t, k, "mine")
	assert.Regexp(t, `file +/machines/hoist/mine\.yaml +follows the name`, text(k, 80, 24))
	assert.Regexp(t, `was +lining-worn-thin\n`, text(k, 80, 24))
	press(t, k, "tab")
	typed(t, k, "Worn by hand")
	assert.Regexp(t, `title Worn by hand_`, text(k, 80, 24))
	assert.Regexp(t, `was +Lining worn below the test torque\n`, text(k, 80, 24))
}

func TestKeepScreens(t *testing.T) {
	t.Parallel()
	for _, size := range goldenSizes {
		w, h := size[0], size[1]
		golden(t, sizeName("keep", size), text(newTestKeep(t, "/machines/hoist", w, h), w, h))
	}
	k := sized(t, newKeep(&sim.Scenario{}, sim.Scenario{Scenario: "mine"}, "", nil, "."), 80, 24)
	golden(t, "keep-too-early-80x24", text(k, 80, 24))
}
