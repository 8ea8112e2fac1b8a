package screens

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

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
		return sized(t, newDifferences(d.bench.document(), &played), 80, 24)
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
	v := sized(t, newValues(c, nil), 120, 40)
	assert.Contains(t, text(v, 120, 40), "nothing is changed here yet; not of the document: 1 value")
	typed(t, v, "judge.dwell")
	assert.Contains(t, text(v, 120, 40), "changed before")
}
