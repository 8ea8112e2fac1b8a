package sim_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
)

const chatter = `
sequence: chatter
start: one
states:
  one: {set: {drive: "off", brake: closed}, go: [{to: over, when: estop}, {to: two, when: not estop}]}
  two: {set: {drive: "off", brake: closed}, go: [{to: over, when: estop}, {to: one, when: not estop}]}
  over: {}
ends: {over: stop}
`

// A run of a sequence that changes its state in every scan keeps a bounded number of events and visits, says how
// many it left out, and is judged as before.
func TestARunThatChattersIsBounded(t *testing.T) {
	rig := load(t, demo, nil).Rig
	d, _, err := scenarios.ParseSequence("chatter.yaml", []byte(chatter))
	require.NoError(t, err)
	pressed := sim.Action{At: 30 * time.Second, Set: map[string]bool{"estop": true}}
	c, _, err := sim.NewCase(sim.Scenario{Scenario: "chatter", Script: []sim.Action{pressed}}, rig, *d)
	require.NoError(t, err)
	r, err := sim.Run(c, nil)
	require.NoError(t, err)
	scans := int(30 * time.Second / rig.Clock.FunctionalScan)
	require.Less(t, len(r.Events), 11_000)
	require.Less(t, len(r.Visits), 11_000)
	require.NotNil(t, r.EventsFolded)
	require.Greater(t, len(r.Events)+r.EventsFolded.Events, scans)
	require.Equal(t, "over", r.EndedIn)
	require.Equal(t, "over", r.Visits[len(r.Visits)-1].State)
	total := time.Duration(0)
	for _, v := range r.Visits {
		total += v.Stay
	}
	require.InDelta(t, r.DurationS, total.Seconds(), 1e-9, "the visits fill the run, those that are left out too")
}
