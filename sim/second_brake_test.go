package sim

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/plant"
	"holdbench/sequence"
)

// twoBrakeRig is judgeRig with a second brake.
func twoBrakeRig() *plant.Rig {
	r := judgeRig()
	r.Brake2.StaticNM = 10
	return r
}

// pressedOn is a scan in which some brakes are closed and pressed down with enough current.
func pressedOn(closed brakeSet) JudgeInput {
	in := pressed()
	in.BrakeClosed, in.Brake2Closed = closed&firstBrake != 0, closed&secondBrake != 0
	return in
}

// checked runs one whole check on some brakes and drops the ask.
func checked(j *judge, closed brakeSet) {
	feed(j, pressedOn(closed), 12)
	in := pressedOn(closed)
	in.Ask = false
	j.step(in)
}

// A proof for one brake never stands for the other: the proof as a whole needs both, and its time
// is that of the older one.
func TestJudgeProvesEachBrake(t *testing.T) {
	j := newJudge(twoBrakeRig())
	checked(&j, firstBrake)
	checked(&j, firstBrake)
	require.False(t, j.verdict.Proof, "brake 1, twice")
	require.Zero(t, j.verdict.Left[1])
	require.Zero(t, j.verdict.ProofLeft)
	checked(&j, secondBrake)
	require.True(t, j.verdict.Proof)
	require.Equal(t, j.verdict.Left[0], j.verdict.ProofLeft, "brake 1 was proven first")
	require.Greater(t, j.verdict.Left[1], j.verdict.Left[0])
}

// A failure withdraws the proof of the brake that was tested, and of both if none was closed.
func TestJudgeWithdrawsTheProofOfTheBrakeThatFailed(t *testing.T) {
	for _, c := range []struct {
		closed brakeSet
		scans  int
		left   [2]bool
		cause  string
	}{
		{firstBrake, 1, [2]bool{false, true}, sequence.CauseMoved},
		{secondBrake, 1, [2]bool{true, false}, sequence.CauseMoved},
		{0, 51, [2]bool{false, false}, sequence.CauseBrakeOpen},
	} {
		r := twoBrakeRig()
		r.Judge.ProofLeft = time.Hour
		j := newJudge(r)
		require.True(t, j.verdict.Proof)
		feed(&j, pressedOn(c.closed), 3)
		moved := pressedOn(c.closed)
		moved.SingleTurn += 50
		feed(&j, moved, c.scans)
		require.Equal(t, c.cause, j.verdict.Cause)
		require.False(t, j.verdict.Proof)
		got := [2]bool{j.verdict.Left[0] > 0, j.verdict.Left[1] > 0}
		require.Equal(t, c.left, got)
	}
}

// A check with both closed fails at once, from its first scan or when the other one closes; where
// the data permit it, it proves both.
func TestJudgeRefusesBothClosed(t *testing.T) {
	const both = firstBrake | secondBrake
	for _, before := range []int{0, 3} {
		j := newJudge(twoBrakeRig())
		feed(&j, pressedOn(secondBrake), before)
		j.step(pressedOn(both))
		require.Equal(t, sequence.CauseBothClosed, j.verdict.Cause)
	}
	r := twoBrakeRig()
	r.Judge.OneBrakeAtATime = false
	j := newJudge(r)
	checked(&j, both)
	require.True(t, j.verdict.Proof)
	require.Equal(t, j.verdict.Left[0], j.verdict.Left[1])
}

// A brake that opens during its check fails it, though the other one closes in the same scan; a
// brake that joins where that is permitted is not proven.
func TestJudgeWatchesTheBrakeUnderTest(t *testing.T) {
	r := twoBrakeRig()
	r.Judge.OneBrakeAtATime = false
	j := newJudge(r)
	feed(&j, pressedOn(firstBrake), 3)
	j.step(pressedOn(secondBrake))
	require.Equal(t, sequence.CauseBrakeOpen, j.verdict.Cause)

	j = newJudge(r)
	feed(&j, pressedOn(firstBrake), 3)
	feed(&j, pressedOn(firstBrake|secondBrake), 9)
	require.Positive(t, j.verdict.Left[0])
	require.Zero(t, j.verdict.Left[1])
}

// The proof as a whole lapses with the first of the two.
func TestJudgeProofLapsesWithTheOlder(t *testing.T) {
	r := twoBrakeRig()
	r.Judge.Interval = time.Second
	j := newJudge(r)
	checked(&j, firstBrake)
	idle := JudgeInput{SingleTurn: 100}
	feed(&j, idle, 40)
	checked(&j, secondBrake)
	require.True(t, j.verdict.Proof)
	for j.verdict.Proof {
		j.step(idle)
	}
	require.NotZero(t, j.events&proofLapsed)
	require.Zero(t, j.verdict.Left[0])
	require.Positive(t, j.verdict.Left[1])
	feed(&j, idle, 1)
	require.Zero(t, j.events&proofLapsed, "once")
}
