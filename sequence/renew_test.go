package sequence

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const lockout = `
sequence: s
start: a
states:
  a:
    go:
      - {to: locked, when: judge_failed, cause: judge_cause}
      - {to: a, when: proof, times: 1}
      - {to: passed, when: partner_coupled}
  locked: {set: {operation: inhibited}, go: [{to: a, when: previous(reset) and not reset}], opt_out: [stopped]}
  passed: {set: {operation: allowed}, go: [{to: a, when: reset}]}
  stopped: {}
any: [{to: stopped, when: safe_stop}]
ends: {locked: fail, passed: pass, stopped: stop}
`

// A lockout has a way out: the transition of an end begins a new run, which keeps the cause
// until there is another and counts anew after a pass or a stop. An end that can be left takes the
// transitions under any as well; one that cannot takes none.
func TestLeavingAnEndBeginsANewRun(t *testing.T) {
	t.Parallel()
	b := newBench(t, lockout)
	b.in.Proof = true
	require.Equal(t, "a", b.scan().To)
	require.False(t, b.scan().OK, "once a run")
	b.in.Proof, b.in.JudgeFailed, b.in.JudgeCause = false, true, CauseMoved
	require.Equal(t, "locked", b.scan().To)
	require.Equal(t, CauseMoved, b.m.Cause())
	b.in.JudgeFailed, b.in.Reset, b.in.SafeStop = false, true, true
	require.False(t, b.scan().OK, "pressed is not released, and it has opted out of the stop")
	b.in.Reset, b.in.SafeStop = false, false
	require.Equal(t, "a", b.scan().To)
	assert.Equal(t, CauseMoved, b.m.Cause(), "until there is another")
	b.in.Proof = true
	require.False(t, b.scan().OK, "a lockout that is left goes on")
	b.in.PartnerCoupled = true
	require.Equal(t, "passed", b.scan().To)
	assert.Empty(t, b.m.Cause(), "a pass has none")
	b.in.PartnerCoupled, b.in.Reset = false, true
	require.Equal(t, "a", b.scan().To)
	assert.True(t, b.scan().OK, "it may fire again")
	b.in.Proof, b.in.PartnerCoupled, b.in.Reset = false, true, false
	require.Equal(t, "passed", b.scan().To)
	b.in.SafeStop = true
	require.Equal(t, "stopped", b.scan().To, "operation after a pass is stopped like any other")
	require.False(t, b.scan().OK, "the last end")
}

// A copy has its own scan before.
func TestPreviousOfACopy(t *testing.T) {
	t.Parallel()
	b := newBench(t, lockout)
	b.in.JudgeFailed = true
	b.scan()
	b.in.Reset = true
	b.scan()
	c := b.m.Clone()
	b.in.Reset = false
	in, out := b.in, Outputs{}
	require.Equal(t, "a", b.scan().To)
	fired, err := c.Scan(&in, &out)
	require.NoError(t, err)
	assert.Equal(t, "a", fired.To)
}
