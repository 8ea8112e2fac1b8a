package scenarios_test

import (
	"context"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/probe"
)

// The reference sequence passes its probe: no proof for a brake of insufficient torque, no
// load drop, no pass on an old proof and no run without end, except where the fault is not
// detectable from the signals or no reaction could have helped. Other limits are listed at
// the head of the sequence; see knownLimit. The faults are a selection from all groups: one of
// each kind in every state that can be reached, and further ones in the states of the run without faults.
//
// The tick is twice that of the demo rig: the same cells are tried and as many of them drop the
// load, in half the time. The encoder that drifts is tried at the rig's own tick: at a longer one
// it costs more than the allowed drop while the load is arrested.
func TestTheReferenceComesThroughItsProbe(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("thousands of runs; one of each kind is in the suite")
	}
	c, _, err := scenarios.LoadCase("healthy-down-and-up", scenarios.Overrides{Set: map[string]string{"rig.clock.tick": "500us"}})
	require.NoError(t, err)
	through := []string{"link-down", "ask-stuck", "window-too-tight", "emergency-stop", "cancelled", "power-lost-briefly", "encoder-lost", "test-at-a-stop", "encoder-noisy", "drive-not-ready"}
	everywhere := probed(t, c, probe.Options{
		Through: through,
		Faults: []string{
			"lining-worn", "brake-stays-open", "transmission-severed", "load-heavier",
			"torque-sign-reversed", "encoder-frozen", "verdict-stuck", "previous-proof-valid", "load-left-out",
			"link-down", "window-too-tight", "power-lost-briefly", "encoder-lost", "drive-not-ready",
		},
	})
	own, _, err := scenarios.LoadCase("healthy-down-and-up", scenarios.Overrides{})
	require.NoError(t, err)
	everywhere = append(everywhere, probed(t, own, probe.Options{Through: through, Faults: []string{"encoder-drifts"}})...)
	require.Greater(t, len(everywhere), 2200)
	for _, s := range []string{"arrest_load", "recover_open", "let_go", "back_off", "secure_axis", "hold_on_torque", "on_brake_alone", "stop_axis", "stop_close", "cancel_stop", "power_up", "locked_out", "stopped"} {
		assert.True(t, slices.ContainsFunc(everywhere, func(o probe.Outcome) bool { return o.State == s }), "%s was tried", s)
	}

	var path []string
	for _, o := range everywhere {
		if o.State != "" && len(o.Route) == 0 && !slices.Contains(path, o.State) {
			path = append(path, o.State)
		}
	}
	onThePath := probed(t, c, probe.Options{
		Through: []string{"window-too-tight"}, // which leads to no state that is tried
		Faults:  []string{"current-limit-low", "encoder-noisy", "emergency-stop", "cancelled", "ask-stuck"},
		States:  path,
	})
	require.Greater(t, len(onThePath), 500)
}

// probed are the outcomes of a probe, none of which may be dangerous but the known ones.
func probed(t *testing.T, c *sim.Case, o probe.Options) []probe.Outcome {
	t.Helper()
	m, err := probe.Run(context.Background(), c, o, nil)
	require.NoError(t, err)
	for _, o := range m.Outcomes {
		if !knownLimit(&o) && o.Dangerous() && o.Kind.Rank() < probe.Broken.Rank() {
			assert.Fail(t, "came out as "+string(o.Kind), "%s: %+v", o.Key(), o)
		}
	}
	return m.Outcomes
}

// knownLimit is whether the accepted outcomes name the cell: a test that is not started does not end.
func knownLimit(o *probe.Outcome) bool { return o.Fault == "cancelled" && o.State == "ready" }
