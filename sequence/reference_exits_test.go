package sequence

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// after is a reference that has come to an end, and goes on.
type after struct {
	t   *testing.T
	m   *Machine
	f   *fake
	out Outputs
}

// reach runs the reference until it ends in a state.
func reach(t *testing.T, state string, w walkCase) *after {
	t.Helper()
	m, f, visited := walkThrough(t, document(t, string(Reference())), w)
	require.Equal(t, state, m.State(), "%v", visited)
	return &after{t, m, f, m.Outputs()}
}

// until runs on until a state is entered; it reports whether that happens within 40 s.
func (a *after) until(state string) bool {
	for range 20_000 {
		fired, err := a.m.Scan(&a.f.in, &a.out)
		require.NoError(a.t, err)
		if fired.OK && fired.To == state {
			return true
		}
		a.f.step(a.out, false)
	}
	return false
}

// push presses a button and lets it go again.
func (a *after) push(button *bool) {
	for _, pressed := range []bool{false, true, false} {
		*button = pressed
		for range 5 {
			_, err := a.m.Scan(&a.f.in, &a.out)
			require.NoError(a.t, err)
			a.f.step(a.out, false)
		}
	}
}

// Every end can be left, and nothing but a passed test releases operation from a lockout, from a stop
// and after a loss of power. Source: EN ISO 12100, 6.2.11.3, and EN ISO 13849-1, 5.2.2, from memory.
func TestReferenceHasAWayOutOfEveryEnd(t *testing.T) {
	t.Parallel()
	moved := func(f *fake) { f.verdicts = []string{CauseMoved} }
	repaired := func(f *fake) { f.in.JudgeFailed, f.in.JudgeCause = false, CauseNone }
	for _, c := range []struct {
		name, end string
		walk      walkCase
		ack       bool
		repair    func(*fake)
	}{
		{"a failed brake that was replaced", "locked_out", walkCase{before: moved}, true, repaired},
		{"load set down", "locked_out", walkCase{values: Values{"support": "true"}, before: func(f *fake) { moved(f); f.support = 15 }}, true, repaired},
		{"drive lost", "locked_out", walkCase{at: hooks{"travel": func(f *fake) { f.in.DriveFault = true }}}, true, func(f *fake) { f.in.DriveFault = false }},
		{"emergency stop", "stopped", walkCase{at: hooks{"travel": func(f *fake) { f.in.Estop, f.resetAfter = true, 700 }}}, false, func(f *fake) { f.in.DriveReady = true }},
		{"aborted without a proof", "stopped", walkCase{at: hooks{"travel": func(f *fake) { f.in.Cancel = true }}}, false, func(f *fake) { f.in.Cancel = false }},
		{"power returned", "stopped", walkCase{poweredUp: true}, false, nil},
		{"passed", "passed", walkCase{}, false, nil},
		{"aborted with an older proof", "cancelled", walkCase{before: func(f *fake) { f.in.ProofLeftS = 3600 }, at: hooks{"press_up": func(f *fake) { f.in.Cancel = true }}}, false, func(f *fake) { f.in.Cancel = false }},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			a := reach(t, c.end, c.walk)
			a.f.obeys = true
			for range 1000 {
				_, err := a.m.Scan(&a.f.in, &a.out)
				require.NoError(t, err)
				a.f.step(a.out, false)
			}
			if c.repair != nil {
				c.repair(a.f)
			}
			inhibited := c.end == "locked_out" || c.end == "stopped"
			if c.ack {
				a.push(&a.f.in.Trigger)
				require.Equal(t, "locked_out", a.m.State(), "a lockout is acknowledged before it is tested")
				a.push(&a.f.in.Reset)
				require.Equal(t, "locked_out", a.m.State(), "a reset is no acknowledgement")
				a.push(&a.f.in.Acknowledge)
				require.Equal(t, "stopped", a.m.State())
				require.Equal(t, OperationInhibited, a.out.Operation)
			}
			a.f.in.GuardClosed = false
			a.push(&a.f.in.Trigger)
			a.f.in.GuardClosed = true
			require.NotEqual(t, "permissives", a.m.State(), "no test with an open guard, nor when it closes")
			require.Equal(t, inhibited, a.out.Operation == OperationInhibited)
			a.f.in.Trigger = true
			require.True(t, a.until("passed"), a.m.State())
			assert.Equal(t, OperationAllowed, a.out.Operation)
			assert.Empty(t, a.m.Cause())
			assert.Empty(t, a.f.violations)
		})
	}
}
