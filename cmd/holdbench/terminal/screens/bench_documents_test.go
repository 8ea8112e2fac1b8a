package screens

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
)

// ownDocuments writes a scenario with a sequence of its own into a folder.
func ownDocuments(t *testing.T, folder string) (scenario, sequence string) {
	t.Helper()
	_, text, err := scenarios.Text(scenarios.SequenceKind, "reference")
	require.NoError(t, err)
	scenario, sequence = filepath.Join(folder, "own.yaml"), filepath.Join(folder, "mine.yaml")
	require.NoError(t, os.WriteFile(sequence, text, 0o600))
	require.NoError(t, os.WriteFile(scenario, []byte("scenario: own\ntitle: Own\nrig: pane-hoist\nsequence: mine.yaml\nexpect: {end: pass}\n"), 0o600))
	return scenario, sequence
}

func replaceIn(t *testing.T, file, old, fresh string) {
	t.Helper()
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Contains(t, string(text), old)
	require.NoError(t, os.WriteFile(file, []byte(strings.ReplaceAll(string(text), old, fresh)), 0o600))
}

// Who works on a sequence changes the file and runs again.
func TestBenchReadsDocumentsAgain(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	scenario, sequence := ownDocuments(t, folder)
	d := newDesk(t, "healthy-down")
	d.send(Chosen{Reference: scenario})
	assert.Contains(t, d.text(), "mine.yaml", "whose sequence it is")

	replaceIn(t, sequence, "test_up: true", "test_up: false")
	d.press("r", "end")
	up, _ := d.bench.Case().Sequence.Param("test_up")
	assert.False(t, up.Boolean)

	d.send(injectFault{sim.Fault{Set: map[string]string{"brake.condition": "0.9"}}})
	d.press("home", "c") // something of one's own
	replaceIn(t, sequence, "test_up: false", "test_up: true")
	d.press("r")
	up, _ = d.bench.Case().Sequence.Param("test_up")
	assert.True(t, up.Boolean)
	assert.NotEmpty(t, d.bench.Case().Scenario.Script, "what was done by hand is done again")

	runs := len(d.bench.runs.list)
	replaceIn(t, sequence, "start: ready", "start: raedy")
	d.press("r")
	d.says("raedy", true)
	assert.Len(t, d.bench.runs.list, runs, "the run stays")
}

func TestBenchSaysWhatIsDoubtful(t *testing.T) {
	t.Parallel()
	c, warnings, err := scenarios.LoadCase("healthy-down", scenarios.Overrides{Set: map[string]string{"rig.load.mass_kg": "220"}})
	require.NoError(t, err)
	w := NewWorker(t.Context())
	t.Cleanup(w.Close)
	d := newDesk(t, "healthy-down")
	d.bench = NewBench(w, t.TempDir(), Chosen{Reference: "healthy-down"}, c, Warnings(warnings))
	d.stack = []Screen{d.bench}
	d.run(d.bench.Init())
	d.says("warning: load_torque_nm", true)
	assert.Empty(t, Warnings(nil))
}

// Without power nothing happens any more, so the next event is not waited for to the end.
func TestBenchWaitsTenSecondsForAnEvent(t *testing.T) {
	t.Parallel()
	d := newDesk(t, "healthy-down")
	d.press("right", "p", "e", "e", "e")
	d.says("without power nothing more happens", false)
	assert.False(t, d.bench.player.Shown().Over)
	before := d.view().TS
	d.press("p", "s")
	assert.Greater(t, d.view().TS, before)
	assert.Contains(t, fmt.Sprint(d.bench.player.Shown().Events), "ready → power_up (power returned)")
}

// What is kept names no fault that never came: it would not be as expected.
func TestBenchKeepsNoFaultThatNeverCame(t *testing.T) {
	t.Parallel()
	d := newDesk(t, "healthy-down-and-up")
	never := sim.Fault{When: &sim.Moment{State: "press_up"}, Set: map[string]string{"brake.condition": "0.3"}}
	d.send(injectFault{never})
	require.Empty(t, d.bench.player.Shown().Kept.Faults, "not yet")
	d.press("x", "end")
	require.True(t, d.bench.player.Shown().Over)
	assert.Empty(t, d.bench.player.Shown().Kept.Faults)
	assert.Len(t, d.bench.runs.list[0].PlayedScenario().Faults, 1, "it is still in the run")
}

// A lesson is on the scenario as it was chosen, whatever was tried since; its summary
// comes last, as it would answer the questions.
func TestLessonOfWhatWasChosen(t *testing.T) {
	t.Parallel()
	d := newDesk(t, "lining-worn-thin")
	d.send(setValues{Set: map[string]string{"judge.dwell": "2s"}})
	require.Equal(t, "2s", d.bench.Case().Scenario.Set["judge.dwell"])
	d.press("n")
	lesson := d.top().(*lessonScreen)
	summary := strings.Fields(lesson.c.Scenario.Teaches)[:6]
	assert.NotContains(t, strings.Join(strings.Fields(d.textOf(lesson)), " "), strings.Join(summary, " "))
	d.press("enter")
	assert.Empty(t, d.bench.Case().Scenario.Set)
	for range 40 {
		d.press("1", "enter", "end")
	}
	require.Equal(t, lessonEnds, lesson.part)
	assert.Contains(t, strings.Join(strings.Fields(d.textOf(lesson)), " "), strings.Join(summary, " "))
}
