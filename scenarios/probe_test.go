package scenarios_test

import (
	"context"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim/probe"
)

// The reference sequence passes its probe: no proof for a brake of insufficient torque, no
// load drop, no pass on an old proof and no run without end, except where the fault is not
// detectable from the signals or no reaction could have helped. Other limits are listed at
// the head of the sequence; one cell of them is here: an encoder that freezes in the scan
// that opens the brake. The faults are a selection from all groups.
//
// The tick is twice that of the demo rig: the same cells are tried and as many of them drop the
// load, in half the time. It must not be longer: at 1 ms the encoder that drifts while the load is
// arrested costs more than the allowed drop, which it does not at the rig's own tick.
func TestTheReferenceComesThroughItsProbe(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("4000 runs; one of each kind is in the suite")
	}
	c, _, err := scenarios.LoadCase("healthy-down-and-up", scenarios.Overrides{Set: map[string]string{"rig.clock.tick": "500us"}})
	require.NoError(t, err)
	through := []string{"link-down", "ask-stuck", "window-too-tight", "emergency-stop", "cancelled", "power-lost-briefly", "encoder-lost", "encoder-drifts", "encoder-noisy", "drive-not-ready"}
	m, err := probe.Run(context.Background(), c, probe.Options{Through: through, Faults: append([]string{
		"lining-worn", "brake-stays-open", "transmission-severed", "load-heavier", "current-limit-low",
		"torque-sign-reversed", "encoder-frozen", "verdict-stuck", "previous-proof-valid", "load-left-out",
	}, through...)}, nil)
	require.NoError(t, err)
	require.Greater(t, len(m.Outcomes), 4000)
	for _, o := range m.Outcomes {
		known := o.Fault == "encoder-frozen" && o.State == "hold_position" && o.Moment == probe.Change
		if !known && o.Dangerous() && o.Kind.Rank() < probe.Broken.Rank() {
			assert.Fail(t, "came out as "+string(o.Kind), "%s: %+v", o.Key(), o)
		}
	}
	for _, s := range []string{"arrest_load", "verdict_failed", "secure_axis", "hold_on_torque", "drive_fault_close", "drive_loss_close", "estop_drive_off", "cancel_open", "power_up", "locked_out", "stopped"} {
		assert.True(t, slices.ContainsFunc(m.Outcomes, func(o probe.Outcome) bool { return o.State == s }), "%s was tried", s)
	}
}
