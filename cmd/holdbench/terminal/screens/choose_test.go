package screens

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/scenarios"
	"holdbench/sim"
)

// newTestChoose is the panel over the demo scenario, with a folder of its own.
func newTestChoose(t *testing.T, now chooseNow, w, h int) *chooseScreen {
	t.Helper()
	if now.Reference == "" {
		now.Reference = "lining-worn-thin"
	}
	if now.Folder == "" {
		now.Folder = t.TempDir()
	}
	return sized(t, newChoose(now, true), w, h)
}

func TestChooseRuns(t *testing.T) {
	t.Parallel()
	own, all := scenarios.Overrides{}, scenarios.Builtin(scenarios.ScenarioKind)
	withZ := slices.IndexFunc(all, func(e scenarios.Entry) bool { return strings.Contains(e.Name, "z") })
	for _, c := range []struct {
		name string
		keys []string
		want Chosen
	}{
		{"what is on the bench", nil, Chosen{Reference: "lining-worn-thin", Overrides: own}},
		{"the next", []string{"down"}, Chosen{Reference: "magnet-over-excited", Overrides: own}},
		{"the one before", []string{"up"}, Chosen{Reference: "lining-worn-on-the-gate", Overrides: own}},
		{"the first", []string{"home"}, Chosen{Reference: all[0].Name, Overrides: own}},
		{"the last", []string{"end"}, Chosen{Reference: all[len(all)-1].Name, Overrides: own}},
		{"one that is searched", []string{"h", "e", "a", "l", "t", "h", "y", "-", "a", "r"}, Chosen{Reference: "healthy-arm", Overrides: own}},
		{"another rig", []string{"tab", "k", "i", "l", "n"}, Chosen{Reference: "lining-worn-thin", Overrides: scenarios.Overrides{Rig: "kiln-gate"}}},
		{"another sequence", []string{"tab", "tab", "down"}, Chosen{Reference: "lining-worn-thin", Overrides: scenarios.Overrides{Sequence: "reference"}}},
		{"another seed", []string{"tab", "tab", "tab", "4", "2"}, Chosen{Reference: "lining-worn-thin", Overrides: scenarios.Overrides{Seed: 42}}},
		{"the seed, backwards", []string{"shift+tab", "7"}, Chosen{Reference: "lining-worn-thin", Overrides: scenarios.Overrides{Seed: 7}}},
		{"round to the first field", []string{"tab", "tab", "tab", "tab", "down"}, Chosen{Reference: "magnet-over-excited", Overrides: own}},
		{"a page down and up", []string{"pgdown", "pgup"}, Chosen{Reference: "lining-worn-thin", Overrides: own}},
		{"what a search found, once it is taken back", []string{"z", "backspace"}, Chosen{Reference: all[withZ].Name, Overrides: own}},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := newTestChoose(t, chooseNow{}, 80, 24)
			press(t, p, c.keys...)
			assert.Equal(t, []tea.Msg{Close{}, c.want}, press(t, p, "enter"))
		})
	}
}

// A panel that is opened anew stands where the bench is, and changes nothing by itself.
func TestChooseBeginsWithTheBench(t *testing.T) {
	t.Parallel()
	now := chooseNow{Reference: "healthy-down", Overrides: scenarios.Overrides{Rig: "pane-hoist", Sequence: "reference", Seed: 9, Set: map[string]string{"judge.dwell": "2s"}}}
	p := newTestChoose(t, now, 80, 24)
	assert.Equal(t, []tea.Msg{Close{}, Chosen{Reference: now.Reference, Overrides: now.Overrides}}, press(t, p, "enter"))
}

// What was set on the command line was set for one scenario.
func TestChooseLeavesTheSetBehind(t *testing.T) {
	t.Parallel()
	now := chooseNow{Reference: "healthy-down", Overrides: scenarios.Overrides{Set: map[string]string{"judge.dwell": "2s"}}}
	p := newTestChoose(t, now, 80, 24)
	got := press(t, p, "home", "enter")
	require.Len(t, got, 2)
	assert.Empty(t, got[1].(Chosen).Overrides.Set)
}

func TestChooseRefuses(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		keys []string
		says string
	}{
		{"seed 0", []string{"shift+tab", "0"}, `seed is "0"; must be a whole number from 1`},
		{"seed that is a word", []string{"shift+tab", "x"}, `seed is "x"; must be`},
		{"nothing found", []string{"#", "#"}, `no scenario matches "##"`},
		{"a file that is not there", strings.Split("nowhere.yaml", ""), "cannot run"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := newTestChoose(t, chooseNow{}, 120, 40)
			press(t, p, c.keys...)
			assert.Empty(t, press(t, p, "enter"))
			assert.Contains(t, text(p, 120, 40), c.says)
		})
	}
}

func TestChooseFindsFilesInTheFolder(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	_, good, err := scenarios.Text(scenarios.ScenarioKind, "healthy-down")
	require.NoError(t, err)
	mine := filepath.Join(folder, "sub", "mine.yaml")
	require.NoError(t, os.MkdirAll(filepath.Dir(mine), 0o755))
	require.NoError(t, os.WriteFile(mine, good, 0o644))
	bad := filepath.Join(folder, "bad.yaml")
	require.NoError(t, os.WriteFile(bad, []byte("scenario: bad\ntitle: Wrong\nrig: nowhere\nsequence: reference\nexpect: {obligations: all}\n"), 0o644))

	t.Run("OK", func(t *testing.T) {
		p := newTestChoose(t, chooseNow{Folder: folder}, 80, 24)
		typed(t, p, "mine")
		assert.Equal(t, []tea.Msg{Close{}, Chosen{Reference: mine, Overrides: scenarios.Overrides{}}}, press(t, p, "enter"))
	})
	t.Run("WithProblems", func(t *testing.T) {
		p := newTestChoose(t, chooseNow{Folder: folder}, 200, 60)
		typed(t, p, "bad")
		screen := text(p, 200, 60)
		assert.Contains(t, screen, "3 | rig: nowhere", "the place in the document")
		assert.Contains(t, screen, "  |      ^")
		assert.Empty(t, press(t, p, "enter"))
	})
	t.Run("OnTheBench", func(t *testing.T) {
		p := newTestChoose(t, chooseNow{Folder: t.TempDir(), Reference: mine}, 80, 24)
		assert.Equal(t, []tea.Msg{Close{}, Chosen{Reference: mine, Overrides: scenarios.Overrides{}}}, press(t, p, "enter"))
	})
	t.Run("NoFolder", func(t *testing.T) {
		p := newTestChoose(t, chooseNow{Folder: filepath.Join(folder, "none")}, 80, 24)
		assert.NotEmpty(t, press(t, p, "enter"), "what is built in is there all the same")
	})
}

// Enter before the preview is there runs as soon as it is, unless another key came.
func TestChooseRunsOnceItKnows(t *testing.T) {
	t.Parallel()
	p := newChoose(chooseNow{Reference: "lining-worn-thin", Folder: t.TempDir()}, true)
	p.Update(tea.WindowSizeMsg{Width: 80, Height: 24})
	_, load := p.Update(keyOf("enter"))
	require.NotNil(t, load)
	assert.Equal(t, []tea.Msg{Close{}, Chosen{Reference: "lining-worn-thin", Overrides: scenarios.Overrides{}}}, feed(t, p, load()))

	p = newChoose(chooseNow{Reference: "lining-worn-thin", Folder: t.TempDir()}, true)
	_, load = p.Update(keyOf("enter"))
	p.Update(keyOf("up"))
	assert.Empty(t, feed(t, p, load()))
}

// One document is read at a time, and only what is chosen in the end.
func TestChooseReadsTheLastOnly(t *testing.T) {
	t.Parallel()
	p := newChoose(chooseNow{Reference: "air-gap-grown", Folder: t.TempDir()}, true)
	p.Update(tea.WindowSizeMsg{Width: 80, Height: 24})
	_, load := p.Update(keyOf("down"))
	for range 10 {
		_, more := p.Update(keyOf("down"))
		require.Nil(t, more)
	}
	feed(t, p, load())
	assert.Len(t, p.previews, 2)
}

func TestChooseCloses(t *testing.T) {
	t.Parallel()
	p := newTestChoose(t, chooseNow{}, 80, 24)
	assert.Equal(t, []tea.Msg{Close{}}, press(t, p, "x", "esc"))
	taken, _ := p.Update(keyOf("ctrl+c"))
	assert.False(t, taken)
	assert.True(t, p.Typing())
}

func TestChooseMouse(t *testing.T) {
	t.Parallel()
	p := newTestChoose(t, chooseNow{}, 80, 24)
	x, y := find(t, p, "hot-brake", 80, 24)
	assert.Empty(t, feed(t, p, click(x, y)))
	assert.Equal(t, "hot-brake", p.ref(scenarioField))
	got := feed(t, p, click(x, y))
	assert.Equal(t, []tea.Msg{Close{}, Chosen{Reference: "hot-brake", Overrides: scenarios.Overrides{}}}, got, "the second time runs")

	x, y = find(t, p, "rig ", 80, 24)
	feed(t, p, click(x, y))
	assert.Equal(t, rigField, p.field)
	feed(t, p, turn(5, 12, tea.MouseButtonWheelDown))
	assert.NotEmpty(t, p.ref(rigField))
}

func TestChoosePreviewScrolls(t *testing.T) {
	t.Parallel()
	p := newTestChoose(t, chooseNow{}, 80, 24)
	require.NotContains(t, text(p, 80, 24), "every obligation kept")
	before := text(p, 80, 24)
	for range 20 {
		press(t, p, "ctrl+down")
	}
	assert.Contains(t, text(p, 80, 24), "every obligation kept")
	for range 20 {
		press(t, p, "ctrl+up")
	}
	assert.Equal(t, before, text(p, 80, 24))
	feed(t, p, turn(60, 5, tea.MouseButtonWheelDown))
	assert.NotEqual(t, before, text(p, 80, 24))
	press(t, p, "up", "down")
	assert.Equal(t, before, text(p, 80, 24), "another choice is read from its start")
}

func TestChooseMarksLessons(t *testing.T) {
	t.Parallel()
	for _, c := range some(builtinScenarios()) {
		s := loadCase(t, c.ref).Scenario
		assert.Equal(t, len(s.Lesson) > 0, c.tag == "lesson", c.name)
		assert.Equal(t, s.Title, c.about, c.name)
	}
}

// A preview says the moments, the times and the bounds of a document in words.
func TestChooseWords(t *testing.T) {
	t.Parallel()
	at, settled, least, most := 3*time.Second, 250*time.Millisecond, 0.5, 2.0
	faults := []sim.Fault{
		{When: &sim.Moment{}, Set: map[string]string{"brake.condition": "0.35"}},
		{At: &at, For: 40 * time.Millisecond, Set: map[string]string{"link.down": "true"}},
		{When: &sim.Moment{State: "close_brake"}, Set: map[string]string{"b": "2", "a": "1"}},
		{When: &sim.Moment{State: "close_brake", After: 1500 * time.Millisecond}, Set: map[string]string{"a": "1"}},
	}
	assert.Equal(t, []string{
		"▲ from the start: brake.condition = 0.35",
		"▲ at 3s for 40ms: link.down = true",
		"▲ in close_brake: a = 1, b = 2",
		"▲ 1.5s into close_brake: a = 1",
	}, faultLines(faults))
	assert.Equal(t, []string{"at 0s for 250us: cancel off, trigger on"},
		scriptLines([]sim.Action{{For: 250 * time.Microsecond, Set: map[string]bool{"trigger": true, "cancel": false}}}))
	assert.Equal(t, []string{
		"end fail", "class missed", "within 20s", "path ready → ... → locked_out", "time in close_brake at least 250ms", "outputs in close_brake ask none, brake closed", "load drop at least 0.5 mm", "slip at most 2 deg",
		"peak torque at least 0.5, at most 2 N·m", "✗ breaks no-drop: the load is lost",
	}, expectLines(&sim.Expect{
		End: "fail", Class: sim.Missed, Within: 20 * time.Second,
		Path: []string{"ready", "...", "locked_out"}, Took: map[string]sim.DurationBounds{"close_brake": {AtLeast: &settled}},
		Outputs:    map[string]map[string]string{"close_brake": {"brake": "closed", "ask": "none"}},
		LoadDropMM: &sim.Bounds{AtLeast: &least}, SlipDeg: &sim.Bounds{AtMost: &most}, PeakNM: &sim.Bounds{AtLeast: &least, AtMost: &most},
		Obligations: sim.Broken{{Broken: sim.NoDrop, Why: "the load\n is lost"}},
	}))
}

func TestChooseScreens(t *testing.T) {
	t.Parallel()
	for _, size := range goldenSizes {
		p := newTestChoose(t, chooseNow{Reference: "healthy-down"}, size[0], size[1])
		golden(t, sizeName("choose", size), text(p, size[0], size[1]))
		press(t, p, "tab", "g", "a")
		golden(t, sizeName("choose-rig", size), text(p, size[0], size[1]))
	}
}

// Times are written as short as they are, whatever the binary form of their seconds is.
func TestTimesAreShort(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		micros := rapid.Int64Range(0, 100_000_000).Draw(t, "µs")
		text := timeText(time.Duration(micros) * time.Microsecond)
		assert.LessOrEqual(t, len(text), len("99.123456s"))
		again, err := time.ParseDuration(text)
		require.NoError(t, err)
		assert.Equal(t, time.Duration(micros)*time.Microsecond, again)
	})
	assert.Equal(t, "1.50425s", timeText(1504250*time.Microsecond))
}
