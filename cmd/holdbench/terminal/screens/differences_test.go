package screens

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
)

// All that a run has otherwise than its document is listed, and undone one by one until nothing is left.
func TestDifferencesAreUndone(t *testing.T) {
	t.Parallel()
	at := 2 * time.Second
	noisy := sim.Fault{At: &at, Set: map[string]string{"encoder.noise_deg": "0.2"}}
	worn := sim.Fault{Set: map[string]string{"brake.condition": "0.35"}}
	trigger := sim.Action{At: 500 * time.Millisecond, Set: map[string]bool{"trigger": true}}
	document := sim.Scenario{Set: map[string]string{"judge.dwell": "2s", "judge.deadline": "9s"}, Faults: []sim.Fault{worn}}
	played := sim.Scenario{
		Set:    map[string]string{"judge.dwell": "3s", "rig.load.mass_kg": "150"},
		Faults: []sim.Fault{noisy, noisy},
		Script: []sim.Action{trigger, {At: at, Set: map[string]bool{"estop": true}}},
	}
	list := differencesOf(&document, &played)
	assert.Equal(t, "3 other values, 2 added faults, 1 removed fault and 1 action", counted(list))
	for n := len(list); n > 0; n-- {
		played = list[0].undo(played)
		list = differencesOf(&document, &played)
		require.Len(t, list, n-1)
	}
	assert.Empty(t, counted(list))
	assert.Equal(t, document.Set, played.Set)
	assert.Equal(t, document.Faults, played.Faults)
	assert.Equal(t, []sim.Action{trigger}, played.Script, "what a document without a script stands for")
}

// A moment is written to the millisecond, as the bench shows it.
func TestDifferencesHaveShortTimes(t *testing.T) {
	t.Parallel()
	at := 3316250 * time.Microsecond
	worn := map[string]string{"brake.condition": "0.35"}
	list := differencesOf(&sim.Scenario{}, &sim.Scenario{Faults: []sim.Fault{
		{At: &at, Set: worn}, {When: &sim.Moment{State: "press_down", After: 633750 * time.Microsecond}, Set: worn},
	}})
	require.Len(t, list, 2)
	assert.Contains(t, list[0].name, "at 3.316s:")
	assert.Contains(t, list[1].name, "634ms into press_down:")
}

// A run that is begun again says what it keeps; the list undoes each thing, and all of them.
func TestRunAgainSaysWhatItKeeps(t *testing.T) {
	t.Parallel()
	d := newDesk(t, "healthy-down-and-up")
	d.press("r")
	assert.Empty(t, d.bench.notice.Text, "nothing differs")
	d.send(setValues{map[string]string{"rig.load.mass_kg": "150"}})
	d.press("]")
	d.send(injectFault{sim.Fault{Set: map[string]string{"brake.condition": "0.35"}}})
	d.press("r")
	assert.Equal(t, "run again with 1 other value and 1 added fault that the document does not have; i lists them", d.bench.notice.Text)
	require.Len(t, d.bench.differences(), 2)

	screen := func() *differencesScreen {
		played := d.bench.runs.now().PlayedScenario()
		return sized(t, newDifferences(d.bench.document(), &played, &d.bench.source.chosen.Overrides), 80, 24)
	}
	s := screen()
	typed(t, s, "mass")
	for _, msg := range press(t, s, "enter") {
		d.send(msg)
	}
	require.Len(t, d.bench.differences(), 1)
	assert.Empty(t, d.bench.Case().Scenario.Set)
	assert.True(t, d.bench.Changed())
	for _, msg := range press(t, screen(), "enter") {
		d.send(msg)
	}
	assert.Empty(t, d.bench.differences())
	assert.False(t, d.bench.Changed(), "nothing would be lost")
	assert.Contains(t, text(screen(), 80, 24), "as its document has it")
}

// The values panel says what was changed before, when nothing is changed in it yet.
func TestValuesSayWhatWasChangedBefore(t *testing.T) {
	t.Parallel()
	c := loadCase(t, "healthy-down")
	s := c.Scenario
	s.Set = map[string]string{"judge.dwell": "2s"}
	c, _, err := c.With(s)
	require.NoError(t, err)
	v := sized(t, newValues(c, nil, nil), 120, 40)
	assert.Contains(t, text(v, 120, 40), "nothing is changed here yet; not of the document: 1 value")
	typed(t, v, "judge.dwell")
	assert.Contains(t, text(v, 120, 40), "changed before")
}

// newDeskWith has a scenario on it as the command line opens it.
func newDeskWith(t *testing.T, scenario string, o scenarios.Overrides) *desk {
	t.Helper()
	d := newDesk(t, "healthy-down")
	d.send(Chosen{Reference: scenario, Overrides: o})
	require.Empty(t, d.bench.notice.Text)
	return d
}

// What the command line puts in place of the document's own is not the document's.
func TestDifferencesOfTheCommandLine(t *testing.T) {
	t.Parallel()
	d := newDeskWith(t, "healthy-down-and-up", scenarios.Overrides{Rig: "store-lift", Sequence: "reference", Seed: 7, Set: map[string]string{"judge.dwell": "0.25s"}})
	assert.False(t, d.bench.Changed(), "nothing would be lost")
	d.press("i")
	listed := d.textOf(d.top())
	assert.Contains(t, listed, "2 other values and 2 other parts that the document does not have")
	assert.Regexp(t, `judge\.dwell = 250ms +set on the command line; the document does not set it`, listed)
	assert.Regexp(t, `seed = 7 +given with --seed or chosen with l; the document has 1`, listed)
	assert.Regexp(t, `rig store-lift +given with --rig or chosen with l; the document has pane-hoist`, listed)
	assert.Regexp(t, `sequence reference +given with --sequence or chosen with l; the document has reference`, listed)
	typed(t, d.top(), "store-lift")
	d.press("down", "enter")
	assert.IsType(t, &differencesScreen{}, d.top(), "a part is not undone")
	d.press("esc")

	for _, undone := range []string{"judge", "seed"} {
		d.press("i")
		typed(t, d.top(), undone)
		d.press("enter")
	}
	assert.Empty(t, d.bench.Case().Scenario.Set)
	assert.Equal(t, uint64(1), d.bench.Case().Seed)
	assert.Equal(t, "store-lift", d.bench.Case().Rig.Rig)
	d.press("]", "r")
	assert.Empty(t, d.bench.Case().Scenario.Set, "a run again keeps what was undone")
	assert.Equal(t, uint64(1), d.bench.Case().Seed)
}

// A value that the document sets too is undone to that.
func TestDifferencesUndoToTheDocument(t *testing.T) {
	t.Parallel()
	own := loadCase(t, "lining-creeps-short-dwell").Scenario.Set
	require.Equal(t, map[string]string{"judge.dwell": "100ms"}, own)
	d := newDeskWith(t, "lining-creeps-short-dwell", scenarios.Overrides{Set: map[string]string{"judge.dwell": "2s"}})
	d.press("i")
	assert.Contains(t, d.textOf(d.top()), "set on the command line; the document sets 100ms")
	d.press("enter")
	assert.Equal(t, own, d.bench.Case().Scenario.Set)
}

// The values panel says who set a value.
func TestValuesOfTheCommandLine(t *testing.T) {
	t.Parallel()
	d := newDeskWith(t, "healthy-down", scenarios.Overrides{Set: map[string]string{"judge.dwell": "0.25s"}})
	look := func() string {
		d.press("v")
		typed(t, d.top(), "judge.dwell")
		return d.textOf(d.top())
	}
	panel := look()
	assert.Regexp(t, `judge\.dwell +250ms.* command line`, panel)
	assert.Contains(t, panel, "set by the command line; original value 1s")
	change(t, d.top().(*valuesScreen), "judge.dwell", "123456us")
	assert.Contains(t, d.textOf(d.top()), "changed; the command line sets 250ms, original value 1s")
	d.press("ctrl+r")
	assert.Contains(t, look(), "changed before; original value 1s")
	d.press("esc", "i")
	assert.Regexp(t, `judge\.dwell = 123\.456ms +the document does not set it`, d.textOf(d.top()))
}

// The same value in another notation is no change.
func TestValuesInAnyNotation(t *testing.T) {
	t.Parallel()
	v := newTestValues(t, map[string]string{"judge.dwell": "0.25s"}, 120, 40)
	change(t, v, "judge.dwell", "250ms")
	assert.Contains(t, text(v, 120, 40), "nothing is changed yet")
	change(t, v, "judge.dwell", "0.5s")
	assert.Contains(t, text(v, 120, 40), "changed; the scenario sets 250ms, original value 1s")
	assert.Empty(t, otherValues(map[string]string{"judge.dwell": "0.25s"}, map[string]string{"judge.dwell": "250ms"}))
}
