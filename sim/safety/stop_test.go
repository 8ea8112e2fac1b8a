package safety

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/plant"
)

// tooMuch is a scan with more torque than the ceiling permits.
func tooMuch() Inputs {
	in := pressed()
	in.CurrentAmpA = -15
	return in
}

// stopRig stops in ten scans, with the brakes closing four before the end.
func stopRig() *plant.Rig {
	r := judgeRig()
	r.Clock.LinkDelayScans = 0
	r.Safety.StopTime, r.Safety.BrakeTime = 10*scan, 4*scan
	r.Judge.Lapse = plant.LapseSignal // nothing withholds operation but the stop
	return r
}

// buttons is a scan without an ask, with some buttons pressed.
func buttons(estop, reset bool) Inputs {
	return Inputs{Request{Released: true}, Readings{Estop: estop, Reset: reset, GuardClosed: true, Standstill: true}}
}

// SS1 with a time: the drive comes to rest, SBC one brake time before the end, STO at the end. IEC
// 61800-5-2, 4.2 (from memory).
func TestStopIsSS1ThenSBCThenSTO(t *testing.T) {
	for name, demand := range map[string]Inputs{"emergency stop": buttons(true, false), "ceiling": tooMuch()} {
		t.Run(name, func(t *testing.T) {
			s := New(stopRig())
			scans(&s, pressed(), 1)
			require.False(t, s.Out().SafeStop)
			require.Empty(t, s.Out().Stop())
			s.Scan(demand.Request, demand.Readings)
			require.NotZero(t, s.Events()&StopBegan)
			for n := range 10 {
				require.Equal(t, "SS1", s.Out().Stop())
				require.True(t, s.Out().SafeStop)
				require.Equal(t, n >= 6, s.Out().SBC, "scan %d after the demand", n)
				scans(&s, buttons(name == "emergency stop", false), 1)
				require.Zero(t, s.Events()&StopBegan, "once")
			}
			require.Equal(t, [3]bool{false, true, true}, [3]bool{s.Out().SS1, s.Out().SBC, s.Out().STO})
		})
	}
}

// The command of an emergency stop is sustained until it is reset, and the reset is possible only
// when the demand is gone (ISO 13850, 4.1; from memory). Before the torque is off no stop ends.
func TestStopStaysUntilDemandIsGoneAndReset(t *testing.T) {
	s := New(stopRig())
	scans(&s, buttons(true, false), 1)
	scans(&s, buttons(false, false), 3)
	scans(&s, buttons(false, true), 2)
	scans(&s, buttons(false, false), 1)
	require.Equal(t, "SS1", s.Out().Stop(), "a reset ends no stop on its way")
	require.False(t, s.Out().ResetNeeded)
	scans(&s, buttons(false, false), 1000)
	require.Equal(t, "STO", s.Out().Stop(), "the demand is gone and nobody has reset")
	require.True(t, s.Out().ResetNeeded)
	scans(&s, buttons(true, true), 2)
	require.False(t, s.Out().ResetNeeded, "no reset while it is pressed")
	scans(&s, buttons(true, false), 2)
	require.True(t, s.Out().SafeStop)
	scans(&s, buttons(false, true), 2)
	require.True(t, s.Out().SafeStop, "not by the press")
	scans(&s, buttons(false, false), 1)
	require.NotZero(t, s.Events()&StopReset)
	require.Equal(t, Outputs{Status: Status{Verdict: Verdict{ProofDue: true}}}, *s.Out())
	scans(&s, buttons(true, false), 1)
	require.Equal(t, "SS1", s.Out().Stop(), "and a new demand stops again")
}

// A button that is wedged resets nothing, and one that was pressed before the demand was gone
// neither (ISO 13849-1, 5.2.2; from memory).
func TestResetTakesAPressAfterTheDemand(t *testing.T) {
	s := New(stopRig())
	scans(&s, buttons(true, true), 11)
	scans(&s, buttons(false, true), 100)
	require.True(t, s.Out().SafeStop, "wedged")
	scans(&s, buttons(false, false), 1)
	require.True(t, s.Out().SafeStop, "pressed before")
	scans(&s, buttons(false, true), 1)
	scans(&s, buttons(false, false), 1)
	require.False(t, s.Out().SafeStop)
}

func TestAutomaticReset(t *testing.T) {
	r := stopRig()
	r.Safety.Reset = plant.ResetAutomatic
	s := New(r)
	scans(&s, buttons(true, false), 30)
	require.Equal(t, "STO", s.Out().Stop())
	scans(&s, buttons(false, false), 1)
	require.False(t, s.Out().SafeStop)
	scans(&s, buttons(true, false), 1)
	scans(&s, buttons(false, false), 9)
	require.Equal(t, "SS1", s.Out().Stop(), "a stop that has begun is completed")
	scans(&s, buttons(false, false), 1)
	require.False(t, s.Out().SafeStop)
}

// Power that is switched off and on again is no reset.
func TestPowerDownKeepsAStop(t *testing.T) {
	s := New(stopRig())
	scans(&s, buttons(true, false), 3)
	s.PowerDown()
	require.Equal(t, "STO", s.Out().Stop())
	scans(&s, buttons(false, false), 50)
	require.True(t, s.Out().SafeStop)
	scans(&s, buttons(false, true), 1)
	scans(&s, buttons(false, false), 1)
	require.False(t, s.Out().SafeStop)
}

// The functional side learns of a stop over the link, and of a link that is down reads no stop; it
// has the drive that is no longer ready for that.
func TestStopComesOverTheLink(t *testing.T) {
	r := stopRig()
	r.Clock.LinkDelayScans, r.Clock.LinkWatchdog = 2, 5*time.Second
	s := New(r)
	scans(&s, buttons(true, false), 2)
	require.False(t, s.Received().SafeStop)
	scans(&s, buttons(true, false), 1)
	require.True(t, s.Received().SafeStop)
	s.Link.ToFunctional.Stuck = true
	scans(&s, buttons(true, false), 1)
	require.True(t, s.Received().SafeStop, "a stuck proof hides no stop")
	require.True(t, s.Received().Proof)
	r.Clock.LinkWatchdog = scan
	s.Link.ToFunctional = LinkFaults{Down: true}
	scans(&s, buttons(true, false), 2)
	require.Equal(t, Status{}, *s.Received())
}

// A button that is held while the power returns was pressed for another stop: its release resets
// nothing (ISO 13849-1, 5.2.2, from memory).
func TestAResetThatIsHeldAsPowerReturnsIsNoReset(t *testing.T) {
	s := stop{phase: torqueOff}
	s.powerDown()
	r := plant.Defaults().Safety
	for _, held := range []bool{true, true, false} {
		_, ended := s.step(StopNone, held, time.Millisecond, &r)
		require.False(t, ended)
	}
	s.step(StopNone, true, time.Millisecond, &r)
	_, ended := s.step(StopNone, false, time.Millisecond, &r)
	require.True(t, ended, "a new press and release resets")
}
