package scenarios

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant/problem"
	"holdbench/sim"
)

// naming is a scenario with one named fault.
const naming = `scenario: s
title: t
rig: pane-hoist
sequence: reference
faults:
  - {when: {state: press_down, after: 100ms}, fault: lining-worn=0.25}
expect: {obligations: all}
`

func namedCase(t *testing.T, from, to string) (*sim.Case, error) {
	t.Helper()
	require.Contains(t, naming, from)
	c, _, err := ParseCase("s.yaml", []byte(strings.Replace(naming, from, to, 1)), Overrides{})
	return c, err
}

// A named fault sets what the same fault on the command line does, and its run names it.
func TestNamedFault(t *testing.T) {
	t.Parallel()
	c, err := namedCase(t, "title: t", "title: t")
	require.NoError(t, err)
	require.Equal(t, map[string]string{"brake.condition": "0.25"}, c.Scenario.Faults[0].Set)
	r, err := sim.Run(c, nil)
	require.NoError(t, err)
	var began []string
	for _, e := range r.Events {
		if e.Type == sim.EventFaultBegan {
			began = append(began, e.What)
		}
	}
	require.Equal(t, []string{"lining-worn=0.25 (brake.condition = 0.25)"}, began)
	require.Equal(t, sim.Caught, r.Class)

	text, err := Format(&c.Scenario, "")
	require.NoError(t, err)
	assert.Contains(t, string(text), "fault: lining-worn=0.25}")
	assert.NotContains(t, string(text), "brake.condition", "written by its name alone")
}

// The severity is relative to the rig with the settings of the scenario, and a fault that usually
// lasts a while does so unless the scenario says how long.
func TestNamedFaultOnTheRigOfTheScenario(t *testing.T) {
	t.Parallel()
	ceiling := func(set string) string {
		c, err := namedCase(t, "{when: {state: press_down, after: 100ms}, fault: lining-worn=0.25}", "{when: start, fault: ceiling-too-low=0.5}\nset: {"+set+"}")
		require.NoError(t, err)
		return c.Scenario.Faults[0].Set["judge.ceiling_nm"]
	}
	assert.Equal(t, "4.25", ceiling("judge.dwell: 1s"), "half of the rig's 8.5 N·m")
	assert.Equal(t, "6", ceiling("judge.ceiling_nm: 12"))

	c, err := namedCase(t, "lining-worn=0.25", "power-lost-briefly")
	require.NoError(t, err)
	usual := c.Scenario.Faults[0].For
	assert.NotZero(t, usual)
	c, err = namedCase(t, "fault: lining-worn=0.25", "for: 3s, fault: power-lost-briefly")
	require.NoError(t, err)
	assert.Equal(t, 3*time.Second, c.Scenario.Faults[0].For)
}

func TestNamedFaultRefused(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, from, to, says string }{
		{"unknown", "lining-worn=", "lining-wrn=", `there is no fault "lining-wrn"; the nearest valid one is "lining-worn"`},
		{"severity", "=0.25", "=much", `the severity is "much"; must be a number such as`},
		{"a moment", "=0.25", "=0.25@press_up", `"lining-worn=0.25@press_up" has a moment; in a scenario when or at says it`},
		{"both", "=0.25", "=0.25, set: {brake.condition: 1}", "fault lining-worn=0.25 and set are both given; must be one of them"},
		{"neither", ", fault: lining-worn=0.25", "", "a fault must set something, or name one of the catalogue"},
		{"wrong data", "lining-worn=0.25", "press-margin-left-out", "must be written under set: {sequence.press_margin: 1}"},
		{"another rig", "lining-worn=0.25", "partner-drive-holds", "does not apply to rig pane-hoist"},
		{"whole run", "lining-worn=0.25", "window-too-wide", "is active for the whole run; must be written with when: start"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			_, err := namedCase(t, c.from, c.to)
			require.ErrorContains(t, err, c.says)
			var found problem.List
			require.ErrorAs(t, err, &found)
			assert.Equal(t, 6, found[0].Line)
		})
	}
}

// One of several causes is enough, and a cause that the sequence cannot give is warned of where it
// stands.
func TestExpectedCauses(t *testing.T) {
	t.Parallel()
	run := func(cause string) (*sim.Result, problem.List) {
		text := strings.Replace(naming, "expect: {", "expect: {cause: "+cause+", ", 1)
		c, warnings, err := ParseCase("s.yaml", []byte(text), Overrides{})
		require.NoError(t, err)
		r, err := sim.Run(c, nil)
		require.NoError(t, err)
		return r, warnings
	}
	met := func(r *sim.Result) sim.Expectation { return r.Expectations[0] }
	actual, warnings := run("[slipped, moved, no-torque]")
	require.Empty(t, warnings)
	require.True(t, met(actual).Met, "%v", met(actual))
	assert.Equal(t, "slipped or moved or no-torque", met(actual).Want)

	r, warnings := run("[estop, drive-not-ready]")
	assert.False(t, met(r).Met)
	assert.Empty(t, warnings)

	_, warnings = run("[" + actual.Cause + ", movd]")
	require.Len(t, warnings, 1)
	assert.Equal(t, []int{7, 18 + len(actual.Cause) + 2}, []int{warnings[0].Line, warnings[0].Column})
	assert.Contains(t, warnings[0].Message, `sequence reference cannot give the cause "movd"; the nearest valid one is "moved"`)
	_, warnings = run("oil")
	require.Len(t, warnings, 1)
	assert.Equal(t, []int{7, 17}, []int{warnings[0].Line, warnings[0].Column})

	for text, says := range map[string]string{"[]": "cause is an empty list", `[""]`: "cause has an empty item", "{a: b}": "cause is"} {
		_, err := ParseScenario("s.yaml", []byte(strings.Replace(naming, "expect: {", "expect: {cause: "+text+", ", 1)))
		require.ErrorContains(t, err, says)
	}
}
