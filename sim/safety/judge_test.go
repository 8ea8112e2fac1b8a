package safety

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/plant"
)

// The rules tested here are those written at the judge, in their order.

const scan = 8 * time.Millisecond

// judgeRig: dwell 80 ms is ten scans, deadline 400 ms is fifty.
func judgeRig() *plant.Rig {
	r := plant.Defaults()
	r.Motor.TorqueConstant = 1
	r.Encoder.IncrementsPerTurn = 3600 // a tenth of a degree
	r.Judge.Dwell, r.Judge.Deadline = 80*time.Millisecond, 400*time.Millisecond
	r.Judge.WindowDeg, r.Judge.CeilingNM = 1, 10
	r.Judge.ProofLeft, r.Judge.Directions = 0, plant.DirectionsDown
	return &r
}

// pressed is a scan in which the closed brake is pressed down with enough current.
func pressed() Inputs {
	return Inputs{Request{Ask: Down, RequiredA: -1.5}, Readings{BrakeClosed: true, GuardClosed: true, Standstill: true, SingleTurn: 100, CurrentAmpA: -2}}
}

// feed runs the same input for a number of scans.
func feed(j *judge, in Inputs, scans int) {
	for range scans {
		j.step(&in)
	}
}

func TestJudgeProvesAfterAFullDwell(t *testing.T) {
	j := newJudge(judgeRig())
	feed(&j, pressed(), 10) // nine scan times after the first with enough current
	require.True(t, j.verdict.Busy)
	require.False(t, j.verdict.Proof)
	feed(&j, pressed(), 1)
	require.Equal(t, Verdict{Proof: true, Tested: Down, TestCount: 1, ProofLeft: 8 * time.Hour, Left: [2]time.Duration{8 * time.Hour}}, j.verdict)
}

func TestJudgeAskThatStaysHighDoesNotStartAgain(t *testing.T) {
	j := newJudge(judgeRig())
	feed(&j, pressed(), 40)
	require.False(t, j.verdict.Busy)
	require.True(t, j.verdict.Proof)
}

func TestJudgeCauses(t *testing.T) {
	moved := func(in Inputs) Inputs { in.SingleTurn += 11; return in } // 1.1 degrees
	weak := func(in Inputs) Inputs { in.CurrentAmpA = -1; return in }
	open := func(in Inputs) Inputs { in.BrakeClosed = false; return in }
	lost := func(in Inputs) Inputs { in.PositionLost = true; return in }
	strong := func(in Inputs) Inputs { in.CurrentAmpA = -14.2; return in } // 10.04 N·m
	wrong := func(in Inputs) Inputs { in.CurrentAmpA = 3; return in }
	type steps []struct {
		in    Inputs
		scans int
	}
	for _, c := range []struct {
		name  string
		steps steps
		cause string
	}{
		{"moved in the dwell", steps{{pressed(), 5}, {moved(pressed()), 1}}, CauseMoved},
		{"moved while the current is too low keeps the first latch", steps{{pressed(), 1}, {weak(pressed()), 3}, {moved(weak(pressed())), 1}}, CauseMoved},
		{"brake never closed fails at the deadline only", steps{{open(pressed()), 51}}, CauseBrakeOpen},
		{"brake opens later fails at once", steps{{pressed(), 2}, {open(pressed()), 1}}, CauseBrakeOpen},
		{"torque never there", steps{{weak(pressed()), 51}}, CauseNoTorque},
		{"torque not long enough", steps{{pressed(), 5}, {weak(pressed()), 46}}, CauseNoDwell},
		{"torque of the wrong direction", steps{{wrong(pressed()), 51}}, CauseNoTorque},
		{"above the ceiling", steps{{strong(pressed()), 1}}, CauseOverTorque},
		{"position lost", steps{{lost(pressed()), 1}}, CausePositionLost},
	} {
		t.Run(c.name, func(t *testing.T) {
			j := newJudge(judgeRig())
			for i, s := range c.steps {
				require.False(t, j.verdict.Failed, "before step %d", i)
				feed(&j, s.in, s.scans-1)
				require.False(t, j.verdict.Failed, "one scan early in step %d: %s", i, j.verdict.Cause)
				feed(&j, s.in, 1)
			}
			require.True(t, j.verdict.Failed)
			require.Equal(t, c.cause, j.verdict.Cause)
			require.False(t, j.verdict.Busy)
		})
	}
}

func TestJudgeLowCurrentStartsTheDwellAnew(t *testing.T) {
	j := newJudge(judgeRig())
	weak := pressed()
	weak.CurrentAmpA = -1
	feed(&j, pressed(), 8)
	feed(&j, weak, 1)
	feed(&j, pressed(), 10)
	require.False(t, j.verdict.Proof)
	feed(&j, pressed(), 1)
	require.True(t, j.verdict.Proof)
}

func TestJudgeFailureWithdrawsTheOldProof(t *testing.T) {
	r := judgeRig()
	r.Judge.ProofLeft = time.Hour
	j := newJudge(r)
	require.True(t, j.verdict.Proof)
	feed(&j, pressed(), 1)
	require.True(t, j.verdict.Proof, "the ask alone leaves the old proof")
	open := pressed()
	open.BrakeClosed = false
	feed(&j, open, 1)
	require.False(t, j.verdict.Proof)
	require.Zero(t, j.verdict.ProofLeft)
}

func TestJudgeAskDroppedEarlyLeavesTheOldProof(t *testing.T) {
	r := judgeRig()
	r.Judge.ProofLeft = time.Hour
	j := newJudge(r)
	feed(&j, pressed(), 5)
	in := pressed()
	in.Ask = 0
	feed(&j, in, 1)
	require.False(t, j.verdict.Busy)
	require.False(t, j.verdict.Failed)
	require.True(t, j.verdict.Proof)
	require.Equal(t, time.Hour-6*scan, j.verdict.ProofLeft)
}

func TestJudgeProofLapses(t *testing.T) {
	r := judgeRig()
	r.Judge.ProofLeft = 3 * scan
	j := newJudge(r)
	feed(&j, Inputs{}, 2)
	require.True(t, j.verdict.Proof)
	feed(&j, Inputs{}, 1)
	require.False(t, j.verdict.Proof)
	require.NotZero(t, j.events&ProofLapsed)
}

func TestJudgeWindowGoesTheShortWayRoundTheTurn(t *testing.T) {
	j := newJudge(judgeRig())
	in := pressed()
	in.SingleTurn = 3597
	feed(&j, in, 1)
	in.SingleTurn = 3 // 0.6 degrees on
	feed(&j, in, 3)
	require.False(t, j.verdict.Failed)
	in.SingleTurn = 8 // 1.1 degrees
	feed(&j, in, 1)
	require.Equal(t, CauseMoved, j.verdict.Cause)
}

func TestJudgeEdgeOfTheWindowIsInside(t *testing.T) {
	for _, increments := range []int64{10, -10} { // 1 degree, as the window
		j := newJudge(judgeRig())
		in := pressed()
		feed(&j, in, 1)
		in.SingleTurn += increments
		feed(&j, in, 10)
		require.True(t, j.verdict.Proof)
	}
}

// A requirement of nothing is never met: the safe value of a lost link must not be
// satisfied by any current.
func TestJudgeRequirementOfZeroIsNeverMet(t *testing.T) {
	for _, sense := range []string{plant.SenseSigned, plant.SenseMagnitude} {
		r := judgeRig()
		r.Judge.Sense = sense
		j := newJudge(r)
		in := pressed()
		in.RequiredA = 0
		feed(&j, in, 51)
		require.Equal(t, CauseNoTorque, j.verdict.Cause)
	}
}

func TestJudgeSenseAndRequirement(t *testing.T) {
	for _, c := range []struct {
		name               string
		sense, requirement string
		fixed, sent, is    float64
		enough             bool
	}{
		{"down met", plant.SenseSigned, plant.RequirementDynamic, 0, -2, -2, true},
		{"down not met", plant.SenseSigned, plant.RequirementDynamic, 0, -2, -1.99, false},
		{"up met", plant.SenseSigned, plant.RequirementDynamic, 0, 2, 2.1, true},
		{"holding current does not press down", plant.SenseSigned, plant.RequirementDynamic, 0, -1, 3.6, false},
		{"by magnitude it does", plant.SenseMagnitude, plant.RequirementDynamic, 0, -1, 3.6, true},
		{"by magnitude, just met", plant.SenseMagnitude, plant.RequirementDynamic, 0, -2, 2, true},
		{"by magnitude, not met", plant.SenseMagnitude, plant.RequirementDynamic, 0, -2, 1.99, false},
		{"the judge's own parameter counts", plant.SenseSigned, plant.RequirementFixed, -3, -1, -2, false},
		{"and is met", plant.SenseSigned, plant.RequirementFixed, -3, -1, -3, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := judgeRig()
			r.Judge.Sense, r.Judge.Requirement, r.Judge.RequiredA = c.sense, c.requirement, c.fixed
			j := newJudge(r)
			require.Equal(t, c.enough, j.met(&Inputs{Request{Ask: Down, RequiredA: c.sent}, Readings{CurrentAmpA: c.is}}))
		})
	}
}

func TestJudgeSeesAFrozenPositionIfToldTo(t *testing.T) {
	r := judgeRig()
	r.Judge.FrozenAfter = 4 * scan
	j := newJudge(r)
	feed(&j, pressed(), 4)
	require.False(t, j.verdict.Failed)
	feed(&j, pressed(), 1)
	require.Equal(t, CausePositionLost, j.verdict.Cause)
}
