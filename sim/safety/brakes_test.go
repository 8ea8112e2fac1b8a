package safety

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/plant"
)

// twoBrakeRig is judgeRig with a second brake.
func twoBrakeRig() *plant.Rig {
	r := judgeRig()
	r.Brake2.StaticNM = 10
	return r
}

// pressedOn is a scan in which some brakes are closed and pressed down with enough current.
func pressedOn(closed Brakes) Inputs {
	in := pressed()
	in.BrakeClosed, in.Brake2Closed = closed&FirstBrake != 0, closed&SecondBrake != 0
	return in
}

// checked runs one whole check on some brakes and drops the ask.
func checked(j *judge, closed Brakes) {
	feed(j, pressedOn(closed), 12)
	in := pressedOn(closed)
	in.Ask = 0
	j.step(&in)
}

// A proof for one brake never stands for the other: the proof as a whole needs both, and its time
// is that of the older one.
func TestJudgeProvesEachBrake(t *testing.T) {
	j := newJudge(twoBrakeRig())
	checked(&j, FirstBrake)
	checked(&j, FirstBrake)
	require.False(t, j.verdict.Proof, "brake 1, twice")
	require.Zero(t, j.verdict.Left[1])
	require.Zero(t, j.verdict.ProofLeft)
	checked(&j, SecondBrake)
	require.True(t, j.verdict.Proof)
	require.Equal(t, j.verdict.Left[0], j.verdict.ProofLeft, "brake 1 was proven first")
	require.Greater(t, j.verdict.Left[1], j.verdict.Left[0])
}

// A failure withdraws the proof of the brake that was tested, and of both if none was closed.
func TestJudgeWithdrawsTheProofOfTheBrakeThatFailed(t *testing.T) {
	for _, c := range []struct {
		closed Brakes
		scans  int
		left   [2]bool
		cause  string
	}{
		{FirstBrake, 1, [2]bool{false, true}, CauseMoved},
		{SecondBrake, 1, [2]bool{true, false}, CauseMoved},
		{0, 51, [2]bool{false, false}, CauseBrakeOpen},
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
	const both = FirstBrake | SecondBrake
	for _, before := range []int{0, 3} {
		j := newJudge(twoBrakeRig())
		feed(&j, pressedOn(SecondBrake), before)
		feed(&j, pressedOn(both), 1)
		require.Equal(t, CauseBothClosed, j.verdict.Cause)
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
	feed(&j, pressedOn(FirstBrake), 3)
	feed(&j, pressedOn(SecondBrake), 1)
	require.Equal(t, CauseBrakeOpen, j.verdict.Cause)

	j = newJudge(r)
	feed(&j, pressedOn(FirstBrake), 3)
	feed(&j, pressedOn(FirstBrake|SecondBrake), 9)
	require.Positive(t, j.verdict.Left[0])
	require.Zero(t, j.verdict.Left[1])
}

// The proof as a whole lapses with the first of the two.
func TestJudgeProofLapsesWithTheOlder(t *testing.T) {
	r := twoBrakeRig()
	r.Judge.Interval = time.Second
	j := newJudge(r)
	checked(&j, FirstBrake)
	idle := Inputs{Readings: Readings{SingleTurn: 100}}
	feed(&j, idle, 40)
	checked(&j, SecondBrake)
	require.True(t, j.verdict.Proof)
	for j.verdict.Proof {
		feed(&j, idle, 1)
	}
	require.NotZero(t, j.events&ProofLapsed)
	require.Zero(t, j.verdict.Left[0])
	require.Positive(t, j.verdict.Left[1])
	feed(&j, idle, 1)
	require.Zero(t, j.events&ProofLapsed, "once")
}
