package sim_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sequence"
	"holdbench/sim"
)

// scanTimes keeps when scans came, and the last image.
type scanTimes struct {
	at  []float64
	out sequence.Outputs
}

func (r *scanTimes) Row(row *sim.Row) error {
	r.at, r.out = append(r.at, row.TS), *row.Out
	return nil
}

// A controller that its watchdog has stopped is one without power: the axis is off and closed, and
// nothing but power starts it again. The safety side runs on.
func TestOverrunStopsTheController(t *testing.T) {
	t.Parallel()
	var seen scanTimes
	b := sim.NewBench(load(t, demo, nil), &seen)
	ticked(b, 8000)
	require.NotEqual(t, sequence.PowerUpOutputs(), seen.out)
	require.NoError(t, b.Inject(sim.Fault{Set: map[string]string{"controller.overrun": "true"}}))
	ticked(b, 8400)
	assert.Equal(t, sequence.PowerUpOutputs(), seen.out)
	assert.True(t, b.View().Halted)
	assert.False(t, b.View().Unpowered, "the safety side has its power")
	require.NoError(t, b.SetButton("power_loss", true))
	ticked(b, 8800)
	require.NoError(t, b.SetButton("power_loss", false))
	ticked(b, 8900)
	assert.False(t, b.View().Halted)
	assert.Equal(t, "power_up", b.Case().Sequence.States[b.StateIndex()].Name)
}

// Nothing is broken by the watchdog itself, apart from what a load may do when the drive goes off.
func TestOverrunIsNoRunWithoutEnd(t *testing.T) {
	t.Parallel()
	s := load(t, demo, nil).Scenario
	s.Faults = []sim.Fault{{At: new(time.Duration), Set: map[string]string{"controller.overrun": "true"}}}
	c, _, err := load(t, demo, nil).With(s)
	require.NoError(t, err)
	r, err := sim.Run(c, nil)
	require.NoError(t, err)
	assert.Equal(t, "none", r.End)
	assert.Empty(t, r.Broken())
	assert.False(t, r.Released)
	assert.Nil(t, r.ControllerStopped, "it did not stop by itself")
}

// Scans that are left out take nothing from the clock of the controller: what it waits for in time
// comes with the first scan afterwards.
func TestMissedScansDoNotStopTheClock(t *testing.T) {
	t.Parallel()
	longest := func(r *sim.Result, state string) time.Duration {
		for _, v := range r.Visits {
			if v.State == state {
				return v.Stay
			}
		}
		return 0
	}
	plain := run(t, demo, nil)
	s := load(t, demo, nil).Scenario
	s.Faults = []sim.Fault{{When: &sim.Moment{State: "settle", After: 60 * time.Millisecond}, For: 40 * time.Millisecond, Set: map[string]string{"controller.missed_scan": "true"}}}
	c, _, err := load(t, demo, nil).With(s)
	require.NoError(t, err)
	missed, err := sim.Run(c, nil)
	require.NoError(t, err)
	assert.Equal(t, plain.End, missed.End)
	assert.Equal(t, longest(plain, "settle"), longest(missed, "settle"), "a state that waits for longer than the scans were left out")
}

// A late scan comes late, and the ones that it sleeps through do not come.
func TestLateScans(t *testing.T) {
	t.Parallel()
	for late, want := range map[string][]float64{ // functional scan 2 ms
		"1ms": {0.001, 0.003, 0.005, 0.007},
		"5ms": {0.005, 0.011, 0.017, 0.023}, // due at 0, 6, 12, 18 ms
	} {
		var seen scanTimes
		b := sim.NewBench(load(t, demo, nil), &seen)
		require.NoError(t, b.Inject(sim.Fault{Set: map[string]string{"controller.late_scan": late}}))
		ticked(b, 100)
		assert.InDeltaSlice(t, want, seen.at[:4], 1e-9, late)
	}
	b := sim.NewBench(load(t, demo, nil), nil)
	require.ErrorContains(t, b.Inject(sim.Fault{Set: map[string]string{"controller.late_scan": "2s"}}), "from 0s to 1s")
}
