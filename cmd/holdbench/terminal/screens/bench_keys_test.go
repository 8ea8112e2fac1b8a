package screens

import (
	"fmt"
	"reflect"
	"slices"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/terminal/player"
	"holdbench/cmd/holdbench/terminal/progress"
	"holdbench/cmd/holdbench/terminal/view"
	"holdbench/sim"
)

// keyCase is what one key of the bench does. It begins with healthy-down-and-up, paused
// at its first tick; press presses the key.
type keyCase func(t *testing.T, d *desk, press func() []tea.Msg)

// benchKeyCases has one for every field of benchKeys.
func benchKeyCases() map[string]keyCase {
	cases := map[string]keyCase{}
	for _, some := range []map[string]keyCase{timeKeyCases(), jumpKeyCases(), doKeyCases(), compareKeyCases(), seeKeyCases(), goKeyCases()} {
		for name, c := range some {
			cases[name] = c
		}
	}
	return cases
}

// Every key of the bench does what its help says, under every name that it has.
func TestEveryBenchKey(t *testing.T) {
	t.Parallel()
	cases := benchKeyCases()
	keys := reflect.ValueOf(newBenchKeys())
	require.Len(t, cases, keys.NumField(), "a case for every field, and no other")
	for i := range keys.NumField() {
		field := keys.Type().Field(i).Name
		c, ok := cases[field]
		require.True(t, ok, "key %s has no case", field)
		if testing.Short() && i%3 != 0 {
			continue
		}
		for _, name := range keys.Field(i).Interface().(benchKey).Keys() {
			if name == "ctrl+c" {
				continue // it is the root's
			}
			t.Run(field+" "+name, func(t *testing.T) {
				d := newDesk(t, "healthy-down-and-up")
				c(t, d, func() []tea.Msg { return d.press(name) })
			})
		}
	}
}

// No two keys of the bench are the same, and help shows each of them once.
func TestBenchKeysAreOneAnothers(t *testing.T) {
	t.Parallel()
	k := newBenchKeys()
	var all, helped []string
	for i := range reflect.ValueOf(k).NumField() {
		all = append(all, reflect.ValueOf(k).Field(i).Interface().(benchKey).Keys()...)
	}
	for _, g := range k.groups() {
		for _, b := range g.keys {
			helped = append(helped, b.Keys()...)
		}
	}
	slices.Sort(all)
	slices.Sort(helped)
	assert.Equal(t, slices.Compact(slices.Clone(all)), all, "none twice")
	assert.Equal(t, all, helped)
}

// A key that is none does nothing, and is not taken.
func TestOtherKeys(t *testing.T) {
	t.Parallel()
	d := newDesk(t, "healthy-down-and-up")
	for _, name := range []string{"J", "Q", "enter", "esc", "1", "pgup", "字"} {
		taken, cmd := d.bench.Update(keyOf(name))
		assert.False(t, taken, name)
		assert.Nil(t, cmd, name)
	}
	taken, _ := d.bench.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("q"), Paste: true})
	assert.False(t, taken, "what is pasted is no key")
}

// moves is a key of time with where it leads to from some moment.
func moves(from, to int64) keyCase {
	return func(t *testing.T, d *desk, press func() []tea.Msg) {
		t.Helper()
		d.press("]", "]", "]")
		d.goTo(from)
		d.press(" ")
		press()
		d.shows(to, "in the past")
		assert.NotEqual(t, player.Playing, d.bench.player.State(), "it pauses")
		assert.EqualValues(t, 12001, d.bench.player.Shown().Ticks, "nothing of the run is lost")
	}
}

// also wants two things of one key.
func also(first, second keyCase) keyCase {
	return func(t *testing.T, d *desk, press func() []tea.Msg) {
		t.Helper()
		first(t, d, press)
		d.send(MaskRiddle{})
		d.stack = d.stack[:1]
		second(t, d, press)
	}
}

// ahead is a key that goes on beyond what is recorded.
func ahead(ticks int64, next keyCase) keyCase {
	return func(t *testing.T, d *desk, press func() []tea.Msg) {
		t.Helper()
		press()
		d.shows(1+ticks, "beyond what is recorded")
		require.Equal(t, 1+ticks, d.bench.player.Shown().Ticks)
		d.send(Chosen{Reference: "healthy-down-and-up"})
		next(t, d, press)
	}
}

func timeKeyCases() map[string]keyCase {
	return map[string]keyCase{
		"Run": func(t *testing.T, d *desk, press func() []tea.Msg) {
			t.Helper()
			press()
			assert.Equal(t, player.Playing, d.bench.player.State())
			assert.Equal(t, 1, d.frames)
			d.frame(0)
			d.playFor(100 * time.Millisecond)
			assert.InDelta(t, 1+400, float64(d.bench.player.Cursor()), 1, "three frames at 1×")
			press()
			assert.NotEqual(t, player.Playing, d.bench.player.State())
		},
		"Scan":     ahead(8, moves(4005, 4009)),
		"ScanBack": moves(4009, 4001),
		"On":       ahead(400, moves(4001, 4401)),
		"Back":     moves(4001, 3601),
		"FarOn":    ahead(4000, moves(4001, 8001)),
		"FarBack":  moves(5001, 1001),
		"Start":    moves(4001, 1),
		"Faster": func(t *testing.T, d *desk, press func() []tea.Msg) {
			t.Helper()
			press()
			assert.Equal(t, 2.0, d.bench.player.Speed())
			for range 20 {
				press()
			}
			assert.Equal(t, 1000.0, d.bench.player.Speed(), "no faster")
			assert.Contains(t, d.text(), "1000×")
			d.shows(1, "it moves nothing")
		},
		"Slower": func(t *testing.T, d *desk, press func() []tea.Msg) {
			t.Helper()
			press()
			assert.Equal(t, 0.5, d.bench.player.Speed())
			for range 20 {
				press()
			}
			assert.Equal(t, 0.01, d.bench.player.Speed(), "no slower")
			assert.Contains(t, d.text(), "0.01×")
		},
	}
}

// eventTicks are the moments from which events of a kind can be seen, each once.
func eventTicks(t *testing.T, scenario string, wanted func(*sim.Event) bool) []int64 {
	t.Helper()
	run := ranFor(t, scenario, 0)
	var list []int64
	for _, e := range run.Events() {
		if e := e; wanted(&e) && e.Kind != "obligation" {
			list = append(list, min(int64(e.TS/0.00025+0.5)+1, run.Ticks()))
		}
	}
	return slices.Compact(list)
}

// jumps goes over all events of a kind to the end of the run, and over them again when they
// are recorded.
func jumps(wanted func(*sim.Event) bool) keyCase {
	return func(t *testing.T, d *desk, press func() []tea.Msg) {
		t.Helper()
		list := eventTicks(t, "healthy-down-and-up", wanted)
		require.Greater(t, len(list), 5)
		for _, how := range []string{"yet to come", "recorded"} {
			for _, at := range list {
				if at == 1 {
					continue // it is seen from the start
				}
				press()
				d.shows(at, how)
			}
			press()
			require.True(t, d.bench.player.Shown().Over)
			require.Equal(t, player.Newest, d.bench.player.Shown().Cursor, "after the last there is the end")
			press()
			d.says("the run has ended", false)
			d.press("home")
		}
	}
}

func jumpsBack(wanted func(*sim.Event) bool) keyCase {
	return func(t *testing.T, d *desk, press func() []tea.Msg) {
		t.Helper()
		d.press("end")
		list := eventTicks(t, "healthy-down-and-up", wanted)
		slices.Reverse(list)
		for _, at := range list {
			if at == d.bench.player.Shown().Ticks {
				continue
			}
			press()
			d.shows(at, "back")
		}
		press()
		d.shows(1, "before the first there is the start")
	}
}

func jumpKeyCases() map[string]keyCase {
	return map[string]keyCase{
		"State":     jumps(stateChange),
		"StateBack": jumpsBack(stateChange),
		"Event":     jumps(anyEvent),
		"EventBack": jumpsBack(anyEvent),
		"End": func(t *testing.T, d *desk, press func() []tea.Msg) {
			t.Helper()
			press()
			require.True(t, d.bench.player.Shown().Over)
			assert.NotEqual(t, player.Running, d.bench.player.State())
			end := d.bench.player.Shown().Ticks
			want, err := sim.Run(loadCase(t, "healthy-down-and-up"), nil)
			require.NoError(t, err)
			assert.Equal(t, want, d.bench.player.Shown().Result)
			d.press("home")
			press()
			d.shows(end, "the end that is recorded")
		},
	}
}

// pressesAndReleases is a button of the operator that is on for a time after it was pressed.
func pressesAndReleases(button string) keyCase {
	return func(t *testing.T, d *desk, press func() []tea.Msg) {
		t.Helper()
		d.press("right")
		press()
		assert.True(t, d.view().Buttons[button], "on, and seen at once")
		assert.Contains(t, d.text(), shownAs(button))
		script := d.bench.runs.list[0].PlayedScenario().Script
		require.Len(t, script, 2, "the trigger that a scenario without a script means, and this one")
		assert.Equal(t, sim.Action{At: 401 * 250 * time.Microsecond, For: pressed, Set: map[string]bool{button: true}}, script[1])
		d.press("right", "right", "right")
		assert.False(t, d.view().Buttons[button], "released")
	}
}

// pushes is a button of the operator, that is on while it was pressed once.
func pushes(button string) keyCase {
	return func(t *testing.T, d *desk, press func() []tea.Msg) {
		t.Helper()
		d.press("right")
		press()
		assert.True(t, d.view().Buttons[button], "on, and seen at once")
		assert.Contains(t, d.text(), shownAs(button))
		assert.True(t, d.bench.Changed())
		script := d.bench.runs.list[0].PlayedScenario().Script
		require.Len(t, script, 2, "the trigger that a scenario without a script means, and this one")
		assert.Equal(t, sim.Action{At: 401 * 250 * time.Microsecond, Set: map[string]bool{button: true}}, script[1])
		press()
		assert.False(t, d.view().Buttons[button], "off again")
		same(t, d.replay(), d.bench.runs.list[0], "what was played")
		branches(t, d, button, press)
	}
}

// shownAs is how the screen tells that a button is on.
func shownAs(button string) string {
	if button == "power_loss" {
		return "no power"
	}
	return "◇ " + button
}

// branches presses the button in the past.
func branches(t *testing.T, d *desk, button string, press func() []tea.Msg) {
	t.Helper()
	d.press("]", "[", "right")
	whole := d.bench.runs.list[0]
	samples, at := fmt.Sprint(whole.Samples()), d.bench.player.Cursor()
	press()
	require.Len(t, d.bench.runs.list, 2)
	assert.Same(t, whole, d.bench.runs.list[1])
	assert.True(t, d.view().Buttons[button])
	d.says("a branch from here", false)
	assert.Equal(t, samples, fmt.Sprint(d.bench.runs.earlier), "the whole run is the earlier run")
	d.shows(at+1, "the branch is where it was pressed")
	d.press("right")
	same(t, d.replay(), d.bench.runs.list[0], "what was played")
	d.press("u")
	assert.Same(t, whole, d.bench.runs.list[0])
	assert.Equal(t, samples, fmt.Sprint(d.bench.player.Shown().Samples), "u brings it back with all its samples")
}

func doKeyCases() map[string]keyCase {
	return map[string]keyCase{
		"Trigger": pushes("trigger"),
		"Cancel":  pushes("cancel"),
		"Estop":   pushes("estop"),
		"Reset":   pressesAndReleases("reset"),
		"Power":   pushes("power_loss"),

		"Acknowledge": pressesAndReleases("acknowledge"),
		"Access":      pushes("access"),
		"Guard":       pushes("guard_open"),
		"Setup":       pushes("setup_mode"),

		"Fault":   opens(func(t *testing.T, s Screen) { t.Helper(); assert.IsType(t, &injectScreen{}, s) }, true),
		"Values":  opens(func(t *testing.T, s Screen) { t.Helper(); assert.IsType(t, &valuesScreen{}, s) }, false),
		"Changes": opens(func(t *testing.T, s Screen) { t.Helper(); assert.IsType(t, &differencesScreen{}, s) }, true),
		"Again": func(t *testing.T, d *desk, press func() []tea.Msg) {
			t.Helper()
			d.press("]", "x", "right")
			played, old := d.bench.runs.list[0].PlayedScenario(), d.bench.runs.list[0]
			d.press(" ")
			got := press()
			_, ok := finds[caseReplaced](got)
			assert.True(t, ok)
			d.shows(1, "from its start")
			assert.NotEqual(t, player.Playing, d.bench.player.State())
			assert.Same(t, old, d.bench.runs.list[1])
			d.goTo(old.Ticks())
			same(t, old, d.bench.runs.list[0], "the same was done again")
			assert.Equal(t, played, d.bench.Case().Scenario)
			assert.True(t, d.bench.Changed(), "it is not kept")
		},
	}
}

// opens is a key that opens a screen; under a mask it does not if it would reveal the
// fault.
func opens(is func(*testing.T, Screen), secret bool) keyCase {
	return func(t *testing.T, d *desk, press func() []tea.Msg) {
		t.Helper()
		d.press(" ")
		press()
		require.Len(t, d.stack, 2)
		is(t, d.top())
		assert.NotEqual(t, player.Playing, d.bench.player.State(), "the run waits")
		d.stack = d.stack[:1]
		d.send(MaskRiddle{&RiddleMask{Title: "riddle 1"}})
		press()
		if !secret {
			require.Len(t, d.stack, 2)
			return
		}
		assert.Len(t, d.stack, 1)
		assert.NotEmpty(t, d.bench.notice.Text, "it says why not")
		assert.False(t, d.bench.notice.Bad)
	}
}

func seeKeyCases() map[string]keyCase {
	cases := map[string]keyCase{
		"Tab": func(t *testing.T, d *desk, press func() []tea.Msg) {
			t.Helper()
			d.send(tea.WindowSizeMsg{Width: 80, Height: 24})
			d.size = tea.WindowSizeMsg{Width: 80, Height: 24}
			for _, name := range []string{"[events]", "[faults]", "[obligations]", "[over time]"} {
				press()
				assert.Contains(t, d.text(), name)
			}
			assert.Equal(t, view.CurvesTab, d.bench.show.tab)
		},
		"Span": func(t *testing.T, d *desk, press func() []tea.Msg) {
			t.Helper()
			d.press("]", "]")
			seen := map[string]bool{}
			for range spans() {
				seen[d.text()] = true
				press()
			}
			assert.GreaterOrEqual(t, len(seen), len(spans())-1, "the strips differ; 10 s are more than all of this run")
			assert.Zero(t, d.bench.show.span, "and round")
		},
		"Earlier": func(t *testing.T, d *desk, press func() []tea.Msg) {
			t.Helper()
			d.press("]", "r")
			require.NotEmpty(t, d.bench.scene().Earlier)
			press()
			assert.Empty(t, d.bench.scene().Earlier)
			press()
			assert.NotEmpty(t, d.bench.scene().Earlier)
		},
		"Nominal": nominalKey,
		"Truth": func(t *testing.T, d *desk, press func() []tea.Msg) {
			t.Helper()
			assert.True(t, d.bench.scene().Truth)
			press()
			assert.False(t, d.bench.scene().Truth)
			assert.Contains(t, d.text(), "the truth is hidden")
			d.press("end")
			for _, e := range d.bench.scene().Events {
				assert.True(t, !sim.TruthOnly(e.Kind) || e.Kind == "fault", "%v is only the plant's to know", e)
			}
			press()
			assert.True(t, d.bench.scene().Truth)
			d.send(MaskRiddle{&RiddleMask{Title: "riddle 1"}})
			press()
			d.says("the truth is shown with the answer", false)
			assert.False(t, d.bench.scene().Truth)
		},
		"Large": func(t *testing.T, d *desk, press func() []tea.Msg) {
			t.Helper()
			panes := d.text()
			press()
			assert.Contains(t, d.text(), "[state]", "one thing at a time")
			press()
			assert.Equal(t, panes, d.text())
		},
		"Mouse": func(t *testing.T, _ *desk, press func() []tea.Msg) {
			t.Helper()
			assert.Equal(t, []tea.Msg{tea.EnableMouseCellMotion()}, press(), "off at first, so that text can be selected")
			assert.Equal(t, []tea.Msg{tea.DisableMouse()}, press())
		},
		"Write": func(t *testing.T, _ *desk, press func() []tea.Msg) {
			t.Helper()
			assert.Equal(t, []tea.Msg{SaveScreen{}}, press())
		},
	}
	cases["Swap"], cases["Older"] = swapKey, olderKey
	return cases
}

func nominalKey(t *testing.T, d *desk, press func() []tea.Msg) {
	t.Helper()
	d.send(injectFault{sim.Fault{Set: map[string]string{"brake.condition": "0.3"}}})
	press()
	run := ranFor(t, "healthy-down-and-up", 0)
	assert.Equal(t, fmt.Sprint(run.Samples()), fmt.Sprint(d.bench.nominal.samples), "to its end, without the fault")
	press()
	assert.Nil(t, d.bench.nominal.samples)
	d.post(keyOf("o"))
	d.post(keyOf("o"))
	d.drain()
	assert.Nil(t, d.bench.nominal.samples, "on and off before it was there")
	press()
	d.send(setValues{map[string]string{"rig.load.mass_kg": "150"}})
	assert.Nil(t, d.bench.nominal.samples, "with other values it is another one")
	press()
	require.NotNil(t, d.bench.nominal.samples)
	d.press("u")
	assert.Nil(t, d.bench.nominal.samples, "and back")
}

func swapKey(t *testing.T, d *desk, press func() []tea.Msg) {
	t.Helper()
	press()
	d.says("there is no other run", false)
	d.press("]")
	first := d.bench.runs.list[0]
	d.send(setValues{map[string]string{"rig.load.mass_kg": "150"}})
	second := d.bench.runs.list[0]
	press()
	assert.Same(t, first, d.bench.runs.list[0])
	assert.Same(t, second, d.bench.runs.list[1])
	assert.Same(t, first.Case(), d.bench.Case(), "with the values of its own")
	d.shows(4001, "where it was left")
	press()
	assert.Same(t, second, d.bench.runs.list[0], "they change places")
	assert.Equal(t, fmt.Sprint(first.Samples()), fmt.Sprint(d.bench.runs.earlier))
}

func olderKey(t *testing.T, d *desk, press func() []tea.Msg) {
	t.Helper()
	press()
	d.says("there is no other run", false)
	d.press("]", "r", "right", "r")
	runs := slices.Clone(d.bench.runs.list)
	require.Len(t, runs, 3)
	for i := range runs {
		press()
		assert.Same(t, runs[len(runs)-1-i], d.bench.runs.list[0], "the oldest comes first")
	}
	assert.Equal(t, runs, d.bench.runs.list, "and round")
	for range 2 * maxRuns {
		d.press("r", "right")
	}
	assert.Len(t, d.bench.runs.list, maxRuns)
	d.press("r")
	assert.Len(t, d.bench.runs.list, maxRuns)
	d.says("the oldest was removed", false)
	d.press("r")
	assert.Len(t, d.bench.runs.list, maxRuns, "a run in which nothing has happened is not kept")
}

func goKeyCases() map[string]keyCase {
	return map[string]keyCase{
		"Choose": opens(func(t *testing.T, s Screen) { t.Helper(); assert.IsType(t, &chooseScreen{}, s) }, true),
		"Keep":   opens(func(t *testing.T, s Screen) { t.Helper(); assert.IsType(t, &keepScreen{}, s) }, true),
		"Help":   opensHelp,
		"Lesson": also(opens(func(t *testing.T, s Screen) { t.Helper(); assert.IsType(t, &lessonScreen{}, s) }, true), func(t *testing.T, d *desk, press func() []tea.Msg) {
			t.Helper()
			d.send(Chosen{Reference: "healthy-down"})
			press()
			d.says("this scenario has no lesson", false)
			assert.Len(t, d.stack, 1)
		}),
		"Course": func(t *testing.T, d *desk, press func() []tea.Msg) {
			t.Helper()
			course, err := NewCourse(progress.InMemory())
			require.NoError(t, err)
			d.bench.Teach(course)
			press()
			require.Len(t, d.stack, 2)
			assert.IsType(t, &courseScreen{}, d.top())
		},
		"Riddle": func(t *testing.T, d *desk, press func() []tea.Msg) {
			t.Helper()
			press()
			require.Len(t, d.stack, 2)
			assert.IsType(t, &riddleScreen{}, d.top())
			d.stack = d.stack[:1]
			d.send(MaskRiddle{&RiddleMask{Title: "riddle 1"}})
			press()
			assert.Len(t, d.stack, 1, "one riddle at a time")
		},
		"Quit": func(t *testing.T, d *desk, press func() []tea.Msg) {
			t.Helper()
			assert.Equal(t, []tea.Msg{Leave{}}, press(), "nothing would be lost")
			d.press("x")
			press()
			require.IsType(t, &askScreen{}, d.top())
			assert.Contains(t, d.textOf(d.top()), "would be lost")
			d.press("n")
			require.Len(t, d.stack, 1)
			press()
			assert.Contains(t, d.press("y"), tea.Msg(Leave{}))
			assert.False(t, d.bench.Changed())
		},
	}
}

func opensHelp(t *testing.T, d *desk, press func() []tea.Msg) {
	t.Helper()
	press()
	require.IsType(t, &helpScreen{}, d.top())
	d.press("esc")
	assert.Len(t, d.stack, 1)
}
