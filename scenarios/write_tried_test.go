package scenarios

import (
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sim"
)

// The seed of what was tried is that of its run, or the run cannot be repeated. One is
// what a scenario without a seed runs with, and need not be written.
func TestFormatTriedWritesTheSeedOfTheRun(t *testing.T) {
	t.Parallel()
	for _, k := range []struct {
		name      string
		own, runs uint64
		want      uint64
	}{
		{"Own", 12, 12, 12},
		{"Another", 12, 7, 7},
		{"AnotherThanNone", 0, 7, 7},
		{"NoneNeeded", 0, 1, 0},
		{"OneInstead", 12, 1, 1},
		{"One", 1, 1, 1},
	} {
		t.Run(k.name, func(t *testing.T) {
			s := sim.Scenario{Scenario: "a", Title: "b", Seed: k.own}
			text, err := FormatTried(&s, &sim.Result{Seed: k.runs}, "")
			require.NoError(t, err)
			require.Equal(t, k.want, readScenario(t, text).Seed)
			require.Equal(t, k.want != 0, strings.Contains(string(text), "\nseed: "))
			require.Equal(t, k.own, s.Seed, "what is written stays as it is")
			require.Contains(t, string(text), "expect: # "+unreviewed)
		})
	}
}

// A run with a seed from outside the document, written and run again, has the same noise;
// its expectations are the results of the run, whatever was expected before.
func TestFormatTriedWithASeedFromOutside(t *testing.T) {
	t.Parallel()
	c, _, err := LoadCase("healthy-down", Overrides{})
	require.NoError(t, err)
	c.Seed = 9
	r, err := sim.Run(c, nil)
	require.NoError(t, err)
	c.Scenario.Expect = sim.Expect{End: "fail", Cause: sim.Causes{"moved"}}
	text, err := FormatTried(&c.Scenario, r, "")
	require.NoError(t, err)
	require.Equal(t, sim.Expected(r), readScenario(t, text).Expect)
	again, _, err := c.With(readScenario(t, text))
	require.NoError(t, err)
	after, err := sim.Run(again, nil)
	require.NoError(t, err)
	require.Equal(t, r.SlipDeg, after.SlipDeg)
	require.Equal(t, r.PeakTorqueNM, after.PeakTorqueNM)
	require.Equal(t, r.Events, after.Events)
}

// A moment some time after the start of the run is a time in a document, for faults and
// for the stops of a lesson. What is written stays as it is.
func TestFormatMomentsAfterTheStart(t *testing.T) {
	t.Parallel()
	after := func(state string, d time.Duration) *sim.Moment { return &sim.Moment{State: state, After: d} }
	s := sim.Scenario{
		Scenario: "a", Title: "b",
		Faults: []sim.Fault{
			{When: after("", 20*time.Millisecond), Set: map[string]string{"link.down": "true"}},
			{When: after("", 0), Set: map[string]string{"link.down": "true"}},
			{When: after("press", time.Second), Set: map[string]string{"link.down": "true"}},
		},
		Lesson: sim.Lesson{
			{When: after("", 30*time.Millisecond), Say: "early"},
			{When: after("", 0), Say: "at once"},
			{When: after("press", time.Second), Say: "late"},
		},
	}
	text, err := Format(&s, "")
	require.NoError(t, err)
	for _, line := range []string{
		"  - {at: 20ms, set: {link.down: true}}\n",
		"  - {when: start, set: {link.down: true}}\n",
		"  - {when: {state: press, after: 1s}, set: {link.down: true}}\n",
		"  - {at: 30ms, say: early}\n",
		"  - {when: start, say: at once}\n",
		"  - {when: {state: press, after: 1s}, say: late}\n",
	} {
		assert.Equal(t, 1, strings.Count(string(text), line), "%s in\n%s", line, text)
	}
	got := readScenario(t, text)
	assert.Equal(t, 20*time.Millisecond, *got.Faults[0].At)
	assert.Nil(t, got.Faults[0].When)
	assert.Equal(t, 30*time.Millisecond, *got.Lesson[0].At)
	assert.Nil(t, got.Lesson[0].When)
	assert.Equal(t, s.Faults[1:], got.Faults[1:])
	assert.Equal(t, s.Lesson[1:], got.Lesson[1:])
	assert.Equal(t, after("", 20*time.Millisecond), s.Faults[0].When)
	assert.Nil(t, s.Faults[0].At)
	assert.Equal(t, after("", 30*time.Millisecond), s.Lesson[0].When)
	assert.Nil(t, s.Lesson[0].At)
}

// The written text is read back and compared; a difference is reported with its path.
func TestReadsBackNoticesADifference(t *testing.T) {
	t.Parallel()
	const text = `scenario: a
title: b
rig: {name: x, list: [one, 2, "3"]}
sequence: reference
seed: 5
set: {judge.dwell: 1s}
script:
  - {at: 500ms, for: 1.5s, set: {trigger: true}}
faults:
  - {when: {state: press, after: 200ms}, set: {brake.condition: 0.35}}
expect:
  end: fail
  within: 90s
  load_drop_mm: {at_most: 0.5}
  obligations: all
lesson:
  - {at: 30ms, say: c}
`
	s := readScenario(t, []byte(text))
	tree, err := elementOf(reflect.ValueOf(s), "")
	require.NoError(t, err)
	require.NoError(t, readsBack([]byte(text), &tree))
	for _, k := range []struct{ name, from, to, want string }{
		{"Text", "title: b", "title: c", "title reads back differently after writing; simplify it"},
		{"Number", "seed: 5", "seed: 6", "seed reads back differently"},
		{"Time", "for: 1.5s", "for: 1.25s", "script[0].for reads back differently"},
		{"Flag", "trigger: true", "trigger: false", "script[0].set.trigger reads back differently"},
		{"Key", "set: {judge.dwell", "set: {judge.window_deg", "set.judge.dwell reads back differently"},
		{"KeyLess", "set: {judge.dwell: 1s}\n", "", "document reads back differently"},
		{"KeyMore", "{judge.dwell: 1s}", "{judge.dwell: 1s, judge.window_deg: 1}", "set reads back differently"},
		{"ItemLess", "  - {at: 30ms, say: c}\n", "  []\n", "document reads back differently"},
		{"ItemMore", "  - {at: 30ms, say: c}\n", "  - {at: 30ms, say: c}\n  - {at: 40ms, say: c}\n", "lesson reads back differently"},
		{"AnotherFault", "0.35", "0.36", "faults[0].set.brake.condition reads back differently"},
		{"AnotherState", "state: press", "state: clamp", "faults[0].when.state reads back differently"},
		{"Bound", "at_most", "at_least", "expect.load_drop_mm.at_most reads back differently"},
		{"InPlace", "[one, 2,", "[one, 3,", "rig.list[1] reads back differently"},
		{"InPlaceNoText", `"3"]`, "3]", "rig.list[2] reads back differently"},
		{"NoName", "scenario: a", `scenario: ""`, "scenario has no name"},
		{"NoDocument", "title: b", "title: b: c", "as written"},
	} {
		t.Run(k.name, func(t *testing.T) {
			other := strings.Replace(text, k.from, k.to, 1)
			require.NotEqual(t, text, other)
			require.ErrorContains(t, readsBack([]byte(other), &tree), k.want)
		})
	}
}
