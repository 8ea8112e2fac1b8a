package safety

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/plant"
)

// bothRig requires both directions, by the torque that the judge owns: 1.5 N·m down, 3 N·m up.
func bothRig() *plant.Rig {
	r := judgeRig()
	r.Judge.Kind, r.Judge.Directions = plant.JudgeTorque, plant.DirectionsBoth
	r.Judge.RequiredDownNM, r.Judge.RequiredUpNM = -1.5, 3
	return r
}

// asked is a scan of an ask in a direction with a motor torque in N·m.
func asked(d Directions, torqueNM float64) Inputs {
	in := pressed()
	in.Ask, in.RequiredA, in.CurrentAmpA = d, 0, math.Sqrt2*torqueNM
	return in
}

// checkedIn runs a whole check in a direction with enough torque and withdraws the ask.
func checkedIn(j *judge, d Directions) {
	torque := -1.6
	if d == Up {
		torque = 3.1
	}
	feed(j, asked(d, torque), 12)
	feed(j, asked(0, torque), 1)
}

// Half a test gives no proof where both directions are required, whichever comes first.
func TestProofTakesEveryRequiredDirection(t *testing.T) {
	for _, order := range [][2]Directions{{Down, Up}, {Up, Down}} {
		j := newJudge(bothRig())
		checkedIn(&j, order[0])
		require.Equal(t, Verdict{Tested: order[0], TestCount: 1, ProofDue: true}, j.verdict)
		checkedIn(&j, order[0])
		require.False(t, j.verdict.Proof, "the same direction twice is half a test")
		require.Equal(t, 2, j.verdict.TestCount)
		checkedIn(&j, order[1])
		require.True(t, j.verdict.Proof)
		require.Equal(t, Down|Up, j.verdict.Tested)
		require.Equal(t, 3, j.verdict.TestCount)
	}
}

// What a brake has passed counts as long as it stays closed: opened and closed again it may hold
// otherwise.
func TestHalfATestEndsWhenTheBrakeOpens(t *testing.T) {
	j := newJudge(bothRig())
	checkedIn(&j, Down)
	open := asked(0, 0)
	open.BrakeClosed = false
	feed(&j, open, 1)
	require.Equal(t, Directions(0), j.verdict.Tested)
	checkedIn(&j, Up)
	require.Equal(t, Up, j.verdict.Tested)
	require.False(t, j.verdict.Proof)
}

// Of two brakes each is tested in both directions; what one has passed does not count for the other.
func TestDirectionsAreThoseOfOneBrake(t *testing.T) {
	r := bothRig()
	r.Brake2.StaticNM = 10
	j := newJudge(r)
	press := func(d Directions, brakes Brakes) {
		in := asked(d, map[Directions]float64{Down: -1.6, Up: 3.1}[d])
		in.BrakeClosed, in.Brake2Closed = brakes&FirstBrake != 0, brakes&SecondBrake != 0
		feed(&j, in, 12)
		in.Ask = 0
		feed(&j, in, 1)
	}
	press(Down, FirstBrake)
	press(Up, SecondBrake)
	require.Equal(t, [2]time.Duration{}, j.verdict.Left)
	press(Down, SecondBrake)
	require.Zero(t, j.verdict.Left[0])
	require.Positive(t, j.verdict.Left[1])
	require.False(t, j.verdict.Proof)
	press(Down, FirstBrake)
	press(Up, FirstBrake)
	require.True(t, j.verdict.Proof)
}

// A failure ends the test: the direction that had passed counts no more.
func TestAFailureEndsTheTest(t *testing.T) {
	r := bothRig()
	r.Judge.FailureEnds = plant.FailureEndsTest
	j := newJudge(r)
	checkedIn(&j, Down)
	feed(&j, asked(Up, 3.1), 2)
	moved := asked(Up, 3.1)
	moved.SingleTurn += 50
	feed(&j, moved, 1)
	feed(&j, asked(0, 0), 1)
	require.Equal(t, CauseMoved, j.verdict.Cause)
	require.Equal(t, Directions(0), j.verdict.Tested)
	require.Equal(t, 2, j.verdict.TestCount)
	checkedIn(&j, Up)
	require.False(t, j.verdict.Proof)
}

// A new test begins with a direction that has passed already, and leaves the proof until it ends.
func TestANewTestBeginsWithADirectionThatHasPassed(t *testing.T) {
	j := newJudge(bothRig())
	checkedIn(&j, Down)
	checkedIn(&j, Up)
	feed(&j, asked(Down, -1.6), 1)
	require.Equal(t, Directions(0), j.verdict.Tested)
	require.True(t, j.verdict.Proof)
	feed(&j, asked(Down, -1.6), 11)
	require.Equal(t, Down, j.verdict.Tested)
	require.True(t, j.verdict.Proof, "that of the test before")
}

// One direction may be enough, if the rig says so, and it must be that one.
func TestOneDirectionOnly(t *testing.T) {
	for need, other := range map[Directions]Directions{Down: Up, Up: Down} {
		r := bothRig()
		r.Judge.Directions = need.String()
		j := newJudge(r)
		checkedIn(&j, other)
		require.False(t, j.verdict.Proof)
		j = newJudge(r)
		checkedIn(&j, need)
		require.True(t, j.verdict.Proof)
	}
}

// The ask that changes its direction without a pause drops one check and starts the other.
func TestAskThatChangesItsDirection(t *testing.T) {
	j := newJudge(bothRig())
	feed(&j, asked(Down, -1.6), 5)
	feed(&j, asked(Up, 3.1), 1)
	require.Equal(t, AskDropped|AskRose|PositionLatched, j.events)
	require.Equal(t, Up, j.direction)
	feed(&j, asked(Up, 3.1), 10)
	require.Equal(t, Up, j.verdict.Tested)
}

// The judge that owns its torque takes no requirement from the sequence, looks at the direction, and
// estimates with a constant of its own.
func TestTorqueJudge(t *testing.T) {
	for _, c := range []struct {
		name     string
		ask      Directions
		torque   float64
		sent     float64
		constant float64
		met      bool
	}{
		{"down met", Down, -1.5, 0, 0, true},
		{"down not met", Down, -1.49, 0, 0, false},
		{"up met", Up, 3, 0, 0, true},
		{"up not met", Up, 2.99, 0, 0, false},
		{"a torque that carries the load is no press down", Down, 2.8, 0, 0, false},
		{"a press down is none up", Up, -9, 0, 0, false},
		{"what the sequence sends is not read", Down, -0.1, -0.01, 0, false},
		{"without a direction nothing is met", 0, -9, -0.01, 0, false},
		{"a constant that is entered too large meets it early", Down, -1, 0, 1.5, true},
		{"a constant that is entered too small meets it late", Down, -1.6, 0, 0.9, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := bothRig()
			r.Judge.TorqueConstant = c.constant
			j := newJudge(r)
			in := asked(c.ask, c.torque)
			in.RequiredA = c.sent
			require.Equal(t, c.met, j.met(&in))
		})
	}
}

// Read as rms value, a current is smaller by √2 than its amplitude: an amplitude that is sent to such a
// judge is never reached, and an rms value that is sent to the other is reached too early.
func TestCurrentJudgeAmplitudeAndRMS(t *testing.T) {
	for _, c := range []struct {
		as       string
		required float64
		met      bool
	}{
		{plant.CurrentAmplitude, -2, true}, {plant.CurrentAmplitude, -2 / math.Sqrt2, true}, {plant.CurrentAmplitude, -2.01, false},
		{plant.CurrentRMS, -2, false}, {plant.CurrentRMS, -2/math.Sqrt2 + 1e-9, true}, {plant.CurrentRMS, -2/math.Sqrt2 - 0.01, false},
	} {
		r := judgeRig()
		r.Judge.CurrentAs = c.as
		j := newJudge(r)
		in := pressed()
		in.RequiredA = c.required
		require.Equal(t, c.met, j.met(&in), "%+v", c)
	}
}

// The judge that compares a current believes the direction of the ask: nobody compares the sign of what
// is sent with it. That is one of the mistakes that it teaches.
func TestCurrentJudgeBelievesTheAsk(t *testing.T) {
	j := newJudge(judgeRig())
	in := pressed()
	in.Ask = Up
	feed(&j, in, 11)
	require.Equal(t, Up, j.verdict.Tested, "with a press down")
}
