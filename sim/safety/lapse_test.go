package safety

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/plant"
)

// moving is a scan of production: nothing is asked, and the axis moves.
func moving() Inputs {
	in := buttons(false, false)
	in.Standstill, in.SpeedMMS = false, 100
	return in
}

// lapsing has a proof of twenty scans, and is due for ten of them.
func lapsing(lapse string) *plant.Rig {
	r := stopRig()
	r.Judge.Lapse, r.Judge.ProofLeft, r.Judge.WarningTime = lapse, 20*scan, 10*scan
	return r
}

// A proof is due a set time before it lapses, and stays due without one.
func TestProofIsDueAheadOfItsLapse(t *testing.T) {
	s := New(lapsing(plant.LapseSignal))
	scans(&s, moving(), 9)
	require.False(t, s.Out().ProofDue)
	scans(&s, moving(), 1)
	require.True(t, s.Out().ProofDue)
	require.NotZero(t, s.Events()&ProofBecameDue)
	scans(&s, moving(), 10)
	require.Equal(t, ProofLapsed, s.Events())
	require.True(t, s.Out().ProofDue)
	scans(&s, moving(), 1000)
	require.False(t, s.Out().OperationInhibited, "a signal only")
	require.False(t, s.Out().SafeStop)
}

// Operation is withheld from the next standstill on, and returns with a proof.
func TestLapseInhibitsOperationAtTheNextStandstill(t *testing.T) {
	s := New(lapsing(plant.LapseInhibit))
	scans(&s, moving(), 100)
	require.False(t, s.Out().OperationInhibited, "the cycle that runs is finished")
	scans(&s, buttons(false, false), 1)
	require.True(t, s.Out().OperationInhibited)
	require.NotZero(t, s.Events()&OperationWithheld)
	require.False(t, s.Out().SafeStop)
	scans(&s, moving(), 10)
	require.True(t, s.Out().OperationInhibited, "whatever moves")
	scans(&s, pressed(), 12)
	require.True(t, s.Out().Proof)
	require.False(t, s.Out().OperationInhibited)
}

// The lapse demands a stop once; after the reset a test is possible while operation stays withheld.
func TestLapseStops(t *testing.T) {
	s := New(lapsing(plant.LapseStop))
	scans(&s, moving(), 20)
	require.NotZero(t, s.Events()&StopBegan)
	require.Equal(t, StopLapse, s.Out().StopCause)
	scans(&s, buttons(false, false), 20)
	require.True(t, s.Out().ResetNeeded)
	scans(&s, buttons(false, true), 1)
	scans(&s, buttons(false, false), 1)
	require.False(t, s.Out().SafeStop)
	require.Equal(t, StopNone, s.Out().StopCause)
	require.True(t, s.Out().OperationInhibited)
	scans(&s, pressed(), 12)
	require.False(t, s.Out().OperationInhibited)
}

// A failure withholds operation at once; the acknowledgement alone gives nothing back, where a lapsed
// proof withholds it.
func TestAFailureWithholdsOperation(t *testing.T) {
	for lapse, after := range map[string]bool{plant.LapseSignal: true, plant.LapseInhibit: true} {
		r := lapsing(lapse)
		r.Judge.ProofLeft = time.Hour
		s := New(r)
		moved := pressed()
		moved.SingleTurn += 50
		scans(&s, pressed(), 2)
		scans(&s, moved, 1)
		require.True(t, s.Out().Failed)
		require.True(t, s.Out().OperationInhibited)
		scans(&s, buttons(false, false), 1)
		in := buttons(false, false)
		in.Acknowledge = true
		scans(&s, in, 1)
		scans(&s, buttons(false, false), 1)
		require.False(t, s.Out().Failed)
		require.Equal(t, after, s.Out().OperationInhibited, lapse)
	}
}

// What is withheld stays so over a loss of power.
func TestPowerDownKeepsOperationWithheld(t *testing.T) {
	s := New(lapsing(plant.LapseInhibit))
	scans(&s, buttons(false, false), 30)
	require.True(t, s.Out().OperationInhibited)
	s.PowerDown()
	require.True(t, s.Out().OperationInhibited)
}
