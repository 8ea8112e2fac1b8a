package safety

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/plant"
)

// guardRig has an interlocking guard with guard locking.
func guardRig() *plant.Rig {
	r := stopRig()
	r.Safety.Guard, r.Safety.SetupSpeedMMS = plant.GuardLocked, 15
	r.Judge.ProofLeft = time.Hour
	return r
}

// at is a scan of an axis at standstill with the guard closed, changed.
func at(change func(*Inputs)) Inputs {
	in := buttons(false, false)
	change(&in)
	return in
}

// An interlocking guard that opens demands a stop (ISO 14119, 3.2; ISO 12100, 6.3.3.2.3; from memory),
// which is not over before it is closed again and a person has reset. A rig without a guard has none.
func TestAnOpenGuardStops(t *testing.T) {
	s := New(guardRig())
	open := at(func(in *Inputs) { in.GuardClosed = false })
	scans(&s, moving(), 3)
	require.False(t, s.Out().SafeStop)
	scans(&s, open, 1)
	require.Equal(t, StopGuard, s.Out().StopCause)
	scans(&s, open, 100)
	require.True(t, s.Out().STO)
	require.False(t, s.Out().ResetNeeded)
	scans(&s, moving(), 1)
	require.True(t, s.Out().ResetNeeded)

	r := guardRig()
	r.Safety.Guard = plant.GuardNone
	s = New(r)
	scans(&s, open, 10)
	require.False(t, s.Out().SafeStop)
}

// In setup mode the axis may move slowly with the guard open (ISO 12100, 6.2.11.9, from memory).
func TestSetupModeAllowsReducedSpeed(t *testing.T) {
	s := New(guardRig())
	setup := func(speed float64) Inputs {
		return at(func(in *Inputs) { in.GuardClosed, in.SetupMode, in.SpeedMMS, in.Standstill = false, true, speed, false })
	}
	scans(&s, setup(15), 50)
	scans(&s, setup(-15), 50)
	require.False(t, s.Out().SafeStop)
	scans(&s, setup(-15.1), 1)
	require.Equal(t, StopSetupSpeed, s.Out().StopCause)

	s = New(guardRig())
	scans(&s, setup(10), 5)
	back := setup(0)
	back.SetupMode = false
	scans(&s, back, 1)
	require.Equal(t, StopGuard, s.Out().StopCause, "the mode changes with the guard open")

	s = New(guardRig())
	closed := setup(300)
	closed.GuardClosed = true
	scans(&s, closed, 5)
	require.False(t, s.Out().SafeStop, "with the guard closed the speed is free")
}

// The guard is unlocked when the hazard has ceased (ISO 14119, 3.5, from memory): at standstill with a
// valid proof, when the stop that the access demands has taken the torque away.
func TestAccess(t *testing.T) {
	s := New(guardRig())
	wants := func(in Inputs) Inputs { in.Access = true; return in }
	scans(&s, wants(moving()), 20)
	require.False(t, s.Out().SafeStop, "not while it moves")
	require.Zero(t, s.Events())
	rest := wants(buttons(false, false))
	scans(&s, rest, 1)
	require.Equal(t, AccessGranted|StopBegan, s.Events())
	require.Equal(t, StopGuard, s.Out().StopCause)
	for !s.Out().STO {
		require.False(t, s.Out().GuardUnlocked)
		scans(&s, rest, 1)
	}
	scans(&s, rest, 1)
	require.True(t, s.Out().GuardUnlocked)
	rest.GuardClosed = false
	scans(&s, rest, 100)
	require.False(t, s.Out().ResetNeeded)
	scans(&s, buttons(false, false), 1)
	require.False(t, s.Out().GuardUnlocked)
	require.True(t, s.Out().ResetNeeded)
}

// Under a load that only an unproven brake would hold there is no access, and none while a test runs.
func TestAccessIsRefusedWithoutAProof(t *testing.T) {
	r := guardRig()
	r.Judge.ProofLeft = 0
	s := New(r)
	wants := at(func(in *Inputs) { in.Access = true })
	scans(&s, wants, 1)
	require.Equal(t, AccessRefused, s.Events())
	scans(&s, wants, 1)
	require.Zero(t, s.Events(), "once")
	require.False(t, s.Out().GuardUnlocked)

	s = New(guardRig())
	scans(&s, at(func(in *Inputs) { in.Access, in.Released = true, false }), 1)
	require.Equal(t, AccessRefused, s.Events(), "the sequence knows of a failure that the judge does not")

	s = New(guardRig())
	scans(&s, pressed(), 2)
	in := pressed()
	in.Access = true
	scans(&s, in, 1)
	require.Equal(t, AccessRefused, s.Events(), "a test is running")
	scans(&s, wants, 1)
	require.NotZero(t, s.Events()&AccessGranted, "the test is over, and the old proof valid")
}

// Between two directions the test goes on, although no check runs and the old proof is valid.
func TestAccessIsRefusedBetweenTwoDirections(t *testing.T) {
	r := guardRig()
	r.Judge.Directions = plant.DirectionsBoth
	r.Judge.Dwell = 2 * scan
	s := New(r)
	scans(&s, pressed(), 10)
	require.Equal(t, Down, s.Out().Tested)
	require.True(t, s.Out().Proof)
	require.False(t, s.Out().Busy)
	in := pressed()
	in.Ask, in.Access, in.Released = 0, true, true
	scans(&s, in, 1)
	require.Equal(t, AccessRefused, s.Events())
	in.BrakeClosed = false // the test ends without the other direction
	scans(&s, in, 1)
	require.Equal(t, AccessGranted|StopBegan, s.Events())
}

// In setup mode the guard is unlocked at standstill, without a stop.
func TestAccessInSetupMode(t *testing.T) {
	s := New(guardRig())
	in := at(func(in *Inputs) { in.Access, in.SetupMode = true, true })
	scans(&s, in, 1)
	require.True(t, s.Out().GuardUnlocked)
	require.False(t, s.Out().SafeStop)
}

// The first demand that applies names the stop.
func TestStopCauses(t *testing.T) {
	s := New(guardRig())
	scans(&s, at(func(in *Inputs) { in.Estop, in.GuardClosed = true, false }), 1)
	require.Equal(t, StopEmergency, s.Out().StopCause)
	s = New(guardRig())
	scans(&s, pressed(), 1)
	scans(&s, tooMuch(), 1)
	require.Equal(t, StopCeiling, s.Out().StopCause)
	for i, word := range StopCauses() {
		require.Equal(t, word, StopCause(i).String())
	}
}

// A link that is stuck at an ask repeats the direction that was read last, down before any; one that is
// stuck at a fresh proof shows the counter that was read last, by which a sequence can detect it.
func TestStuckLink(t *testing.T) {
	r := bothRig()
	r.Clock.LinkDelayScans = 0
	s := New(r)
	s.Link.ToSafety.Stuck = true
	scans(&s, asked(0, 0), 1)
	require.Equal(t, Down, s.In().Ask)
	s.Link.ToSafety.Stuck = false
	scans(&s, asked(Up, 0), 1)
	s.Link.ToSafety.Stuck = true
	scans(&s, asked(Down, 0), 1)
	require.Equal(t, Up, s.In().Ask)

	s = New(r)
	scans(&s, asked(Down, -1.6), 12)
	s.Link.ToFunctional.Stuck = true
	scans(&s, asked(0, 0), 1)
	scans(&s, asked(Up, 3.1), 12)
	require.Equal(t, 2, s.Out().TestCount)
	require.Equal(t, Verdict{Proof: true, Tested: Down | Up, TestCount: 1, ProofLeft: r.Judge.Interval, Left: [2]time.Duration{r.Judge.Interval}}, s.Received().Verdict)
}
