package screens

import (
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/sim"
)

// newTestInject is the panel at a moment of a run, in ms; 0 is its end.
func newTestInject(t *testing.T, scenario string, ms int64, w, h int) *injectScreen {
	t.Helper()
	run := ranFor(t, scenario, ms)
	return sized(t, newInject(run.View(), run.Case()), w, h)
}

func now(set map[string]string) []tea.Msg {
	return []tea.Msg{Close{}, injectFault{sim.Fault{Set: set}}}
}

func TestInjectKeys(t *testing.T) {
	t.Parallel()
	worn := map[string]string{"brake.condition": "0.35"}
	for _, c := range []struct {
		name string
		text string
		keys []string
		want []tea.Msg
	}{
		{"a named fault as it usually is", "lining-worn", []string{"enter", "enter"}, now(worn)},
		{"more severe", "lining-worn", []string{"enter", "down", "enter"}, now(map[string]string{"brake.condition": "0.15"})},
		{"milder", "lining-worn", []string{"enter", "up", "enter"}, now(map[string]string{"brake.condition": "0.75"})},
		{"a value of one's own", "lining-worn", []string{"enter", "ctrl+u", "0", ".", "5", "enter"}, now(map[string]string{"brake.condition": "0.5"})},
		{"one that replaces the present one", "lining-worn", []string{"enter", "0", ".", "5", "enter"}, now(map[string]string{"brake.condition": "0.5"})},
		{"a single value", "drive.current_noise", []string{"enter", "ctrl+u", "1", "enter"}, now(map[string]string{"drive.current_noise_rms_a": "1"})},
		{"a flag is turned round", "encoder.frozen", []string{"enter", "enter"}, now(map[string]string{"encoder.frozen": "true"})},
		{"a flag, the other word", "encoder.frozen", []string{"enter", "down", "enter"}, now(map[string]string{"encoder.frozen": "false"})},
		{"a signal of the link", "link.down", []string{"enter", "enter"}, now(map[string]string{"link.down": "true"})},
		{"for a while", "link.down", []string{"enter", "shift+tab", "4", "0", "m", "s", "enter"},
			[]tea.Msg{Close{}, injectFault{sim.Fault{For: 40 * time.Millisecond, Set: map[string]string{"link.down": "true"}}}}},
		{"in a state", "lining-worn", []string{"enter", "tab", "c", "l", "o", "s", "e", "_", "b", "enter"},
			[]tea.Msg{Close{}, injectFault{sim.Fault{When: &sim.Moment{State: "close_brake"}, Set: worn}}}},
		{"some time into a state", "lining-worn", []string{"enter", "tab", "c", "l", "o", "s", "e", "_", "b", "tab", "1", ".", "5", "s", "enter"},
			[]tea.Msg{Close{}, injectFault{sim.Fault{When: &sim.Moment{State: "close_brake", After: 1500 * time.Millisecond}, Set: worn}}}},
		{"now after all", "lining-worn", []string{"enter", "tab", "end", "home", "tab", "shift+tab", "enter"}, now(worn)},
		{"now, written", "lining-worn", []string{"enter", "tab", "n", "o", "w", "enter"}, now(worn)},
		{"round all rows", "lining-worn", []string{"enter", "tab", "tab", "tab", "down", "enter"}, now(map[string]string{"brake.condition": "0.15"})},
		{"back to the list and closed", "lining-worn", []string{"enter", "esc", "esc"}, []tea.Msg{Close{}}},
		{"another one after going back", "lining-worn", []string{"enter", "esc", "down", "up", "enter", "enter"}, now(worn)},
		{"closed", "", []string{"esc"}, []tea.Msg{Close{}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := newTestInject(t, "healthy-down", 600, 80, 24)
			typed(t, p, c.text)
			assert.Equal(t, c.want, press(t, p, c.keys...))
		})
	}
}

func TestInjectRefuses(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		text string
		keys []string
		says string
	}{
		{"out of range", "lining-worn", []string{"ctrl+u", "9"}, `brake.condition is "9"; must be between 0 and 2`},
		{"no number", "lining-worn", []string{"ctrl+u", "x"}, `brake.condition is "x"; must be a number`},
		{"nothing", "lining-worn", []string{"ctrl+u"}, `brake.condition is ""`},
		{"no word of a flag", "link.down", []string{"ctrl+u", "x"}, `link.down is "x"; must be true or false`},
		{"a rig that cannot be", "stops.low_mm", []string{"ctrl+u", "5", "0", "0", "0"}, "must be above stops.low_mm, which is 5000 mm"},
		{"no time", "link.down", []string{"shift+tab", "4"}, `for is "4"; must be a time such as 200ms or 1.5s`},
		{"a negative time", "link.down", []string{"shift+tab", "-", "4", "s"}, "for is -4s; must be between 0 and 1h"},
		{"a state that was entered", "link.down", []string{"tab", "r", "e", "a", "d", "y"}, "state ready has been entered already"},
		{"no state of that name", "lining-worn", []string{"tab", "x", "y", "z"}, `no state matches "xyz"`},
		{"no time after a state", "link.down", []string{"tab", "c", "l", "o", "s", "e", "_", "b", "tab", "x"}, `after is "x"`},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := newTestInject(t, "healthy-down", 600, 120, 40)
			typed(t, p, c.text)
			press(t, p, "enter")
			press(t, p, c.keys...)
			assert.Empty(t, press(t, p, "enter"))
			assert.Contains(t, text(p, 120, 40), c.says)
			press(t, p, "tab")
			assert.NotContains(t, text(p, 120, 40), c.says, "it goes with the next key")
		})
	}
}

func TestInjectRemoves(t *testing.T) {
	t.Parallel()
	p := newTestInject(t, "lining-worn-thin", 600, 80, 24)
	assert.Contains(t, text(p, 80, 24), "in this run")
	assert.Contains(t, text(p, 80, 24), "active since 0.000 s")
	assert.Equal(t, []tea.Msg{Close{}, removeFault{0}}, press(t, p, "home", "enter"))
}

func TestInjectSaysWhatWaits(t *testing.T) {
	t.Parallel()
	p := newTestInject(t, "link-lost-for-good", 600, 80, 24)
	assert.Contains(t, text(p, 80, 24), "pending, in state ")
}

func TestInjectChangesNothingInARunThatIsOver(t *testing.T) {
	t.Parallel()
	p := newTestInject(t, "lining-worn-thin", 0, 80, 24)
	assert.Empty(t, press(t, p, "enter"))
	assert.Contains(t, text(p, 80, 24), "the run has ended")
	assert.Equal(t, []tea.Msg{Close{}}, press(t, p, "esc"))
}

// What nothing mends in a run has no end to choose.
func TestInjectOffersNoEndForWhatLasts(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"transmission-severed", "transmission.severed", "brake.gap_mm", "lining-glazed"} {
		p := newTestInject(t, "healthy-down", 600, 80, 24)
		typed(t, p, name)
		press(t, p, "enter")
		require.NotNil(t, p.form, name)
		assert.NotContains(t, p.form.below(), rowFor, name)
	}
}

// The first key replaces how long a fault lasts, and what is typed is read back beside what is usual.
func TestInjectReadsTimesBack(t *testing.T) {
	t.Parallel()
	p := newTestInject(t, "healthy-down", 600, 80, 24)
	typed(t, p, "power-lost-briefly")
	press(t, p, "enter", "tab", "tab")
	assert.Contains(t, text(p, 80, 24), "usually 0.3 s, then 0.3 s")
	typed(t, p, "1500m")
	assert.Contains(t, text(p, 80, 24), "usually 0.3 s, then no time yet")
	typed(t, p, "s")
	assert.Contains(t, text(p, 80, 24), "usually 0.3 s, then 1.5 s")
	assert.Equal(t, "1500ms", p.form.lasts.text())
	press(t, p, "ctrl+u")
	assert.Contains(t, text(p, 80, 24), "usually 0.3 s, then permanent")
}

func TestInjectMouse(t *testing.T) {
	t.Parallel()
	p := newTestInject(t, "healthy-down", 600, 80, 24)
	typed(t, p, "lining")
	x, y := find(t, p, "oil-on-lining", 80, 24)
	feed(t, p, click(x, y))
	require.Nil(t, p.form)
	feed(t, p, click(x, y))
	require.NotNil(t, p.form, "the second time opens the form")

	x, y = find(t, p, "0.1 ", 80, 24)
	feed(t, p, click(x, y))
	assert.Equal(t, "0.1", p.form.values[0].field.text())
	x, y = find(t, p, "when", 80, 24)
	feed(t, p, click(x, y))
	x, y = find(t, p, "in close_brake", 80, 24)
	feed(t, p, click(x, y))
	assert.Equal(t, "close_brake", p.form.state())
	feed(t, p, turn(5, 12, tea.MouseButtonWheelUp))
	assert.NotEqual(t, "close_brake", p.form.state())
}

// What the form lets through, the run takes.
func TestInjectIsTakenByTheRun(t *testing.T) {
	t.Parallel()
	run := ranFor(t, "healthy-coupled-pair", 600)
	c := run.Case()
	opened := *newInject(run.View(), c)
	rapid.Check(t, func(t *rapid.T) {
		p := opened
		p.Update(tea.WindowSizeMsg{Width: 80, Height: 24})
		p.list.at = rapid.IntRange(0, len(p.list.found)-1).Draw(t, "row")
		row, _ := p.list.now()
		p.Update(keyOf("enter"))
		if p.form == nil {
			return
		}
		keys := rapid.SliceOfN(rapid.SampledFrom([]string{"tab", "down", "up", "end", "1", "s", "m", "0", "9", ".", "ctrl+u"}), 0, 12)
		for _, k := range keys.Draw(t, "keys") {
			p.Update(keyOf(k))
		}
		f, err := p.form.fault(p.view, p.ready)
		if err == nil {
			require.NoError(t, run.At(run.Ticks()).Inject(f), "%s: %+v", row.name, f)
		}
	})
}

// Every named fault that is offered can be injected as it is offered.
func TestInjectOffersWhatCanBe(t *testing.T) {
	t.Parallel()
	for _, scenario := range []string{"healthy-down", "healthy-arm", "healthy-coupled-pair", "healthy-counterbalanced"} {
		run := ranFor(t, scenario, 600)
		c := run.Case()
		p := sized(t, newInject(run.View(), c), 80, 24)
		for _, row := range p.fitting() {
			if p.named[row.place].Settings != nil {
				continue
			}
			f, err := namedForm(p, &p.named[row.place]).fault(p.view, p.ready)
			require.NoError(t, err, "%s on %s", row.name, scenario)
			assert.NoError(t, run.At(run.Ticks()).Inject(f), "%s on %s", row.name, scenario)
		}
	}
}

// A fault that is typed in before a run cannot be injected; the panel says how to have it. One
// of the operator comes with the time that it usually lasts.
func TestInjectSettingsAndButtons(t *testing.T) {
	t.Parallel()
	p := newTestInject(t, "healthy-down", 600, 120, 40)
	typed(t, p, "load-left")
	press(t, p, "enter")
	require.Nil(t, p.form)
	assert.Contains(t, p.wrong, "start one with holdbench run SCENARIO --fault load-left-out")

	p = newTestInject(t, "healthy-down", 600, 120, 40)
	typed(t, p, "power-lost-b")
	press(t, p, "enter")
	require.NotNil(t, p.form)
	f, err := p.form.fault(p.view, p.ready)
	require.NoError(t, err)
	assert.Equal(t, map[string]string{"operator.power_loss": "true"}, f.Set)
	assert.Equal(t, 300*time.Millisecond, f.For)
}

func TestInjectScreens(t *testing.T) {
	t.Parallel()
	for _, size := range goldenSizes {
		w, h := size[0], size[1]
		p := newTestInject(t, "lining-worn-thin", 600, w, h)
		golden(t, sizeName("inject", size), text(p, w, h))
		typed(t, p, "gap-grown")
		press(t, p, "enter")
		golden(t, sizeName("inject-value", size), text(p, w, h))
		press(t, p, "tab", "p", "r", "e", "s", "s")
		golden(t, sizeName("inject-moment", size), text(p, w, h))
	}
}
