package screens

import (
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant"
	"holdbench/sim"
)

// newTestValues is the panel over a scenario whose set is given.
func newTestValues(t *testing.T, set map[string]string, w, h int) *valuesScreen {
	t.Helper()
	c := loadCase(t, "healthy-down")
	s := c.Scenario
	s.Set = set
	c, _, err := c.With(s)
	require.NoError(t, err)
	return sized(t, newValues(c, set, nil), w, h)
}

// change searches a key and types a value; an empty one resets it.
func change(t *testing.T, v *valuesScreen, key, value string) {
	t.Helper()
	press(t, v, "ctrl+u")
	typed(t, v, key)
	press(t, v, "enter", "ctrl+u")
	typed(t, v, value)
	press(t, v, "enter")
}

func TestValuesChange(t *testing.T) {
	t.Parallel()
	was := map[string]string{"judge.dwell": "1500ms", "rig.load.mass_kg": "181"}
	for _, c := range []struct {
		name    string
		changes [][2]string
		want    map[string]string // nil: nothing is changed
	}{
		{"a value of the rig", [][2]string{{"rig.brake.static_nm", "8"}}, map[string]string{"judge.dwell": "1500ms", "rig.load.mass_kg": "181", "rig.brake.static_nm": "8"}},
		{"one that is set", [][2]string{{"judge.dwell", "2s"}}, map[string]string{"judge.dwell": "2s", "rig.load.mass_kg": "181"}},
		{"one back to its own", [][2]string{{"judge.dwell", ""}}, map[string]string{"rig.load.mass_kg": "181"}},
		{"a parameter", [][2]string{{"sequence.test_position_mm", "300"}}, map[string]string{"judge.dwell": "1500ms", "rig.load.mass_kg": "181", "sequence.test_position_mm": "300"}},
		{"several", [][2]string{{"judge.dwell", "2s"}, {"judge.deadline", "9s"}}, map[string]string{"judge.dwell": "2s", "judge.deadline": "9s", "rig.load.mass_kg": "181"}},
		{"to the same", [][2]string{{"judge.dwell", "1500ms"}}, nil},
		{"there and back", [][2]string{{"judge.dwell", "2s"}, {"judge.dwell", "1500ms"}}, nil},
		{"to its own", [][2]string{{"rig.brake.static_nm", "9"}}, nil},
		{"to its own after another", [][2]string{{"rig.brake.static_nm", "8"}, {"rig.brake.static_nm", "9"}}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			v := newTestValues(t, was, 80, 24)
			for _, pair := range c.changes {
				change(t, v, pair[0], pair[1])
				require.Empty(t, v.wrong)
			}
			got := press(t, v, "ctrl+r")
			if c.want == nil {
				assert.Empty(t, got)
				assert.Contains(t, text(v, 80, 24), "nothing is changed yet")
				return
			}
			assert.Equal(t, []tea.Msg{Close{}, setValues{c.want}}, got)
		})
	}
	assert.Equal(t, map[string]string{"judge.dwell": "1500ms", "rig.load.mass_kg": "181"}, was, "the scenario's own set stays as it is")
}

func TestValuesKeys(t *testing.T) {
	t.Parallel()
	changed := setValues{map[string]string{"judge.sense": "magnitude"}}
	for _, c := range []struct {
		name string
		text string
		keys []string
		want []tea.Msg
	}{
		{"the other word", "judge.sense", []string{"enter", "down", "enter", "ctrl+r"}, []tea.Msg{Close{}, changed}},
		{"there and back", "judge.sense", []string{"enter", "down", "up", "enter", "ctrl+r"}, nil},
		{"on the line of its own", "judge.sense", []string{"enter", "down", "enter", "home", "enter"}, []tea.Msg{Close{}, changed}},
		{"left as it was", "judge.sense", []string{"enter", "down", "esc", "ctrl+r"}, nil},
		{"nothing to run again", "", []string{"home", "enter"}, nil},
		{"closed", "", []string{"esc"}, []tea.Msg{Close{}}},
		{"closed within a search", "dwell", []string{"esc"}, []tea.Msg{Close{}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			v := newTestValues(t, nil, 80, 24)
			typed(t, v, c.text)
			assert.Equal(t, c.want, press(t, v, c.keys...))
		})
	}
}

func TestValuesRefuses(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ key, value, says string }{
		{"rig.brake.static_nm", "0", "brake.static_nm"},
		{"rig.brake.static_nm", "x", `must be a number in N·m`},
		{"judge.dwell", "2", `judge.dwell is "2"; must be a duration such as 8ms or 1.5s`},
		{"rig.load.mass_kg", "1e9", `load.mass_kg is "1e9"; must be`},
		{"judge.dwell", "1h", "must be between 1ms and 10m"},
		{"sequence.test_position_mm", "nowhere_mm", "nowhere_mm"},
		{"rig.stops.low_mm", "5000", "must be above stops.low_mm"},
	} {
		t.Run(c.key+" "+c.value, func(t *testing.T) {
			v := newTestValues(t, nil, 200, 60)
			change(t, v, c.key, c.value)
			assert.Contains(t, text(v, 200, 60), c.says)
			require.NotNil(t, v.edit, "it can be mended")
			assert.Empty(t, press(t, v, "esc", "ctrl+r"), "nothing was changed")
		})
	}
}

func TestValuesSaysWhatIsDoubtful(t *testing.T) {
	t.Parallel()
	v := newTestValues(t, nil, 120, 40)
	change(t, v, "rig.load.mass_kg", "220")
	assert.Contains(t, text(v, 120, 40), "warning: load_torque_nm")
}

func TestValuesAsksBeforeChangesAreLost(t *testing.T) {
	t.Parallel()
	v := newTestValues(t, nil, 80, 24)
	change(t, v, "judge.dwell", "2s")
	got := press(t, v, "esc")
	require.Len(t, got, 1)
	ask := got[0].(Open).Screen.(*askScreen)
	assert.Contains(t, ask.consequence, "1 change would be lost")

	yes := press(t, ask, "y")
	require.Len(t, yes, 2)
	assert.Equal(t, []tea.Msg{Close{}}, feed(t, v, yes[1]))
	other := newTestValues(t, nil, 80, 24)
	assert.Empty(t, feed(t, other, yes[1]), "it was not its question")
}

// Every key that a scenario can set is listed with a value and a note.
func TestValuesListsEverything(t *testing.T) {
	t.Parallel()
	v := newTestValues(t, nil, 80, 24)
	keys := sim.Settings(v.c.Sequence)
	require.Len(t, v.rows, len(keys))
	for i, r := range v.rows {
		assert.Equal(t, keys[i], r.key)
		assert.NotEmpty(t, r.note, r.key)
		assert.NotEmpty(t, r.span, r.key)
		assert.NotEmpty(t, v.list.all[i+1].about, r.key)
	}
	assert.Greater(t, len(keys), len(plant.Fields()), "parameters too")
}

func TestValuesMouse(t *testing.T) {
	t.Parallel()
	v := newTestValues(t, nil, 80, 24)
	x, y := find(t, v, "rig.load.counterbalance_kg", 80, 24)
	feed(t, v, click(x, y))
	require.Nil(t, v.edit)
	feed(t, v, click(x, y))
	require.NotNil(t, v.edit, "the second time changes it")
	press(t, v, "esc")
	feed(t, v, turn(x, y, tea.MouseButtonWheelDown))
	row, _ := v.list.now()
	assert.NotEqual(t, "rig.load.counterbalance_kg", row.name)
}

func TestValuesScreens(t *testing.T) {
	t.Parallel()
	for _, size := range goldenSizes {
		w, h := size[0], size[1]
		v := newTestValues(t, map[string]string{"judge.dwell": "1500ms"}, w, h)
		golden(t, sizeName("values", size), text(v, w, h))
		change(t, v, "judge.dwell", "1200ms")
		press(t, v, "ctrl+u")
		typed(t, v, "judge")
		golden(t, sizeName("values-changed", size), text(v, w, h))
		press(t, v, "down", "enter", "ctrl+u", "x", "enter")
		golden(t, sizeName("values-wrong", size), text(v, w, h))
	}
}

// A value is read back in words, beside the present one, before it is taken.
func TestValuesReadBack(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ key, typed, want string }{
		{"rig.load.mass_kg", "", "as now: 181 kg"},
		{"rig.load.mass_kg", "180", "now 181 kg, then 180 kg"},
		{"judge.dwell", "2s", "now 1.5s, then 2s"},
		{"judge.dwell", "2", "now 1.5s; this is no value yet"},
		{"sequence.test_position_mm", "2*150", "then 2*150 = 300 mm"},
	} {
		t.Run(c.key+" "+c.typed, func(t *testing.T) {
			v := newTestValues(t, map[string]string{"judge.dwell": "1500ms", "rig.load.mass_kg": "181"}, 80, 24)
			typed(t, v, c.key)
			press(t, v, "enter")
			typed(t, v, c.typed)
			assert.Contains(t, text(v, 80, 24), c.want)
		})
	}
}

// A time is answered as it is typed.
func TestValuesAnswerTimesInShort(t *testing.T) {
	t.Parallel()
	v := newTestValues(t, nil, 80, 24)
	typed(t, v, "judge.interval")
	press(t, v, "enter", "ctrl+u")
	typed(t, v, "1h")
	assert.Regexp(t, `then 1h\s`, text(v, 80, 24))
	assert.NotContains(t, text(v, 80, 24), "0m0s")
}

// On a low screen no row is empty while rows of the list are hidden.
func TestLowPanelsFillTheirRows(t *testing.T) {
	t.Parallel()
	d := newDesk(t, "lining-worn-thin")
	d.size = tea.WindowSizeMsg{Width: 80, Height: 10}
	d.send(d.size)
	for _, name := range []string{"v", "f"} {
		d.press(name, "down")
		const hint = 1 // the row between the search and the list
		rows := strings.Split(d.textOf(d.top()), "\n")[1:9]
		require.Contains(t, strings.Join(rows, "\n"), "↓")
		for i, row := range rows {
			if i > hint {
				assert.NotEmpty(t, strings.TrimSpace(row), "row %d of %s:\n%s", i, name, strings.Join(rows, "\n"))
			}
		}
		d.press("esc")
	}
}
