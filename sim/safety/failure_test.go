package safety

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/plant"
)

// failedJudge has failed a check down by a movement, and the ask is withdrawn.
func failedJudge(r *plant.Rig) judge {
	j := newJudge(r)
	feed(&j, asked(Down, -1.6), 2)
	in := asked(Down, -1.6)
	in.SingleTurn += 50
	feed(&j, in, 1)
	feed(&j, asked(0, 0), 1)
	return j
}

// acknowledged presses the acknowledge button for two scans and releases it.
func acknowledged(j *judge) {
	in := asked(0, 0)
	in.Acknowledge = true
	feed(j, in, 2)
	in.Acknowledge = false
	feed(j, in, 1)
}

// A detected fault is kept until it is cleared (ISO 13849-1, 6.2.5 on category 2, from memory): no ask
// clears a failure, and none starts a check before it is acknowledged.
func TestAFailureStaysUntilItIsAcknowledged(t *testing.T) {
	j := failedJudge(bothRig())
	feed(&j, asked(Down, -1.6), 1)
	require.Equal(t, AskRefused, j.events)
	feed(&j, asked(Down, -1.6), 100)
	require.Equal(t, Verdict{Failed: true, Cause: CauseMoved, TestCount: 1, ProofDue: true}, j.verdict)
	feed(&j, asked(0, 0), 1)
	acknowledged(&j)
	require.NotZero(t, j.events&Acknowledged)
	require.Equal(t, Verdict{TestCount: 1, ProofDue: true}, j.verdict, "without a proof")
	checkedIn(&j, Down)
	checkedIn(&j, Up)
	require.True(t, j.verdict.Proof)
}

// Where the rig says so a complete test ends the failure: not its ask, and not half a test.
func TestACompleteTestEndsAFailure(t *testing.T) {
	r := bothRig()
	r.Judge.FailureEnds = plant.FailureEndsTest
	j := failedJudge(r)
	feed(&j, asked(Down, -1.6), 1)
	require.True(t, j.verdict.Busy && j.verdict.Failed)
	feed(&j, asked(0, 0), 1)
	checkedIn(&j, Down)
	require.Equal(t, Verdict{Failed: true, Cause: CauseMoved, Tested: Down, TestCount: 2, ProofDue: true}, j.verdict)
	checkedIn(&j, Up)
	require.False(t, j.verdict.Failed)
	require.Empty(t, j.verdict.Cause)
	require.True(t, j.verdict.Proof)

	j = failedJudge(r)
	acknowledged(&j)
	require.False(t, j.verdict.Failed, "an acknowledgement ends it here as well")
	require.False(t, j.verdict.Proof)
}

// The sound brake of two ends no failure of the other.
func TestAFailureIsThatOfItsBrake(t *testing.T) {
	r := twoBrakeRig()
	r.Judge.FailureEnds = plant.FailureEndsTest
	j := newJudge(r)
	feed(&j, pressedOn(FirstBrake), 2)
	moved := pressedOn(FirstBrake)
	moved.SingleTurn += 50
	feed(&j, moved, 1)
	idle := pressedOn(FirstBrake)
	idle.Ask = 0
	feed(&j, idle, 1)
	checked(&j, SecondBrake)
	require.True(t, j.verdict.Failed)
	require.Positive(t, j.verdict.Left[1])
	checked(&j, FirstBrake)
	require.False(t, j.verdict.Failed)
	require.True(t, j.verdict.Proof)
}

// A button that sticks, or was pressed ahead of the failure, acknowledges nothing (ISO 13849-1, 5.2.2,
// from memory).
func TestAcknowledgeTakesAPressAfterTheFailure(t *testing.T) {
	j := newJudge(bothRig())
	in := asked(Down, -1.6)
	in.Acknowledge = true
	feed(&j, in, 2)
	in.SingleTurn += 50
	feed(&j, in, 100)
	require.True(t, j.verdict.Failed, "it sticks")
	in.Acknowledge, in.Ask = false, 0
	feed(&j, in, 1)
	require.True(t, j.verdict.Failed, "it was pressed before")
	acknowledged(&j)
	require.False(t, j.verdict.Failed)
}

// The reset of a stop is no acknowledgement.
func TestResetAcknowledgesNothing(t *testing.T) {
	r := stopRig()
	s := New(r)
	scans(&s, pressed(), 1)
	scans(&s, tooMuch(), 1)
	scans(&s, buttons(false, false), 20)
	scans(&s, buttons(false, true), 2)
	scans(&s, buttons(false, false), 2)
	require.False(t, s.Out().SafeStop)
	require.Equal(t, CauseOverTorque, s.Out().Cause)
	require.True(t, s.Out().OperationInhibited)
}

// Power that is switched off and on again clears no failure and leaves the counter; the proof and half a
// test are lost.
func TestPowerDownKeepsFailureAndCounter(t *testing.T) {
	r := bothRig()
	j := failedJudge(r)
	j = j.withoutPower(r)
	require.Equal(t, Verdict{Failed: true, Cause: CauseMoved, TestCount: 1, ProofDue: true}, j.verdict)
	feed(&j, asked(Down, -1.6), 1)
	require.Equal(t, AskRefused, j.events)

	j = newJudge(r)
	checkedIn(&j, Down)
	j = j.withoutPower(r)
	checkedIn(&j, Up)
	require.Equal(t, Verdict{Tested: Up, TestCount: 2, ProofDue: true}, j.verdict)
}

// An earlier failure stands at the start of a run, whatever proof the rig names.
func TestFailedBefore(t *testing.T) {
	r := bothRig()
	r.Judge.FailedBefore, r.Judge.ProofLeft = true, time.Hour
	s := New(r)
	require.Equal(t, Verdict{Failed: true, Cause: CauseMoved, ProofDue: true}, s.Received().Verdict)
	require.True(t, s.Received().OperationInhibited)
}
