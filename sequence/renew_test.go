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
  locked: {set: {operation: inhibited}, go: [{to: a, when: previous(reset) and not reset}]}
  passed: {set: {operation: allowed}, go: [{to: a, when: reset}]}
  stopped: {}
any: [{to: stopped, when: safe_stop}]
ends: {locked: fail, passed: pass, stopped: stop}
`

// A lockout has a way out: the transition of an end begins a new run, which keeps the cause
// until there is another and counts anew after a pass or a stop. What is under any does not end a run that has ended.
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
	require.False(t, b.scan().OK, "pressed is not released, and any does not apply")
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
