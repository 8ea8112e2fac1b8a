package plant

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// pressed clamps a bare rig, presses for a time and gives the motor torque asked for in
// every tick, from the load torque of 5 N·m on.
func pressed(change func(*Drive), to, rate float64, length time.Duration) []float64 {
	r := bareRig()
	change(&r.Drive)
	p := New(r, 1)
	run(p, Command{Mode: Hold, CloseBrake: true}, 300*time.Millisecond)
	var asked []float64
	for range ticks(&r, length) {
		p.Sample()
		p.Step(Command{Mode: Press, PressTorqueNM: to, PressRateNMS: rate, TorqueLimitNM: 9, CloseBrake: true})
		asked = append(asked, p.DemandNM())
	}
	return asked
}

// A ramp that comes out at a share of the rate takes the time over the share. From 5 to
// 8 N·m at 10 N·m/s takes 0.3 s. Source: by hand.
func TestPressRateFactor(t *testing.T) {
	for _, share := range []float64{0.25, 1, 4} {
		asked := pressed(func(d *Drive) { d.PressRateFactor = share }, 8, 10, 2*time.Second)
		var arrived int
		for i, x := range asked {
			if x < 8-1e-9 {
				arrived = i + 1
			}
		}
		require.InDelta(t, 0.3/share, float64(arrived)*0.25e-3, 2e-3, "share %g", share)
	}
}

// The peak lies the stated share of the step past its end (overshoot as any text on control
// defines it), beyond the limit that is commanded, which comes before; then the torque
// comes back to the setpoint, half of it within ln 2 time constants.
func TestPressOvershoot(t *testing.T) {
	for _, share := range []float64{0, 0.1, 0.5, 2} {
		asked := pressed(func(d *Drive) { d.PressOvershoot = share }, 8, 10, 2*time.Second)
		step := 8 - asked[0]
		peak, at := 0.0, 0
		for i, x := range asked {
			if x > peak {
				peak, at = x, i
			}
		}
		require.InDelta(t, 8+share*step, peak, 2e-2, "share %g; the first tick of the ramp is not seen", share)
		require.InDelta(t, 8, asked[len(asked)-1], 1e-6*step)
		half := at + int(math.Round(overshootTime*math.Ln2/0.25e-3))
		require.InDelta(t, 8+(peak-8)/2, asked[half], 0.01*max(share, 0.01))
	}
}

// The drive's own limit holds an overshoot: 100 A at 1 N·m/A.
func TestOvershootKeepsTheDriveLimit(t *testing.T) {
	for _, x := range pressed(func(d *Drive) { d.PressOvershoot, d.CurrentLimitRMSA = 5, 12 }, 9, 10, time.Second) {
		require.LessOrEqual(t, x, 12.0)
	}
}

// A drive that creeps moves its load at the speed of the creep while it holds, and
// comes back to a target when a move is commanded.
func TestCreep(t *testing.T) {
	r := bareRig()
	r.Drive.CreepMMS = 4
	p := New(r, 1)
	run(p, Command{Mode: Hold}, 500*time.Millisecond) // to get up to speed
	from := p.LoadMM()
	run(p, Command{Mode: Hold}, time.Second)
	require.InDelta(t, 4, p.LoadMM()-from, 2*incrementMM)
	run(p, Command{Mode: Move, TargetMM: 1}, 2*time.Second)
	require.InDelta(t, 1, p.LoadMM(), 2*incrementMM)
}

// A frozen measurement keeps its last value, noise and all, and its noise goes on meanwhile.
func TestCurrentFrozen(t *testing.T) {
	r := bareRig()
	r.Drive.CurrentNoiseRMSA = 0.01
	p, q := New(r, 1), New(r, 1)
	last := run(p, Command{Mode: Hold}, 100*time.Millisecond)
	run(q, Command{Mode: Hold}, 100*time.Millisecond)
	p.Rig().Drive.CurrentFrozen = true
	p.Reload()
	off := Command{Mode: Off, CloseBrake: true}
	require.Equal(t, last.CurrentRMSA, run(p, off, 100*time.Millisecond).CurrentRMSA)
	run(q, off, 100*time.Millisecond)
	require.InDelta(t, 0, p.State().MotorTorqueNM, 1e-9, "the truth goes on")
	p.Rig().Drive.CurrentFrozen = false
	p.Reload()
	require.Equal(t, q.Sample().CurrentRMSA, p.Sample().CurrentRMSA)
}

// The judge's turn is short by the error each time the shaft passes where it stood when the
// error came, here at 90°, and right again on the way back; the drive counts on as before. A
// tenth of a turn is 36°. Source: by hand.
func TestWrapError(t *testing.T) {
	const short, turnMM = 30.0, 20 * math.Pi
	r := bareRig()
	r.Encoder.OffsetDeg = 90
	p := New(r, 1)
	inc := int64(r.Encoder.IncrementsPerTurn)
	at := func(turns, deg float64) Reading {
		seen := run(p, Command{Mode: Move, TargetMM: turns * turnMM}, 3*time.Second)
		away := TurnDifference(seen.SingleTurn, int64(deg/360*float64(inc)), inc)
		require.LessOrEqual(t, math.Abs(float64(away)), 2.0, "%g turns read %d increments", turns, seen.SingleTurn)
		return seen
	}
	p.Rig().Encoder.WrapErrorDeg = short
	p.Reload()
	at(0.1, 90+36)
	seen := at(1.1, 90+36-short)
	require.InDelta(t, 1.1*turnMM, seen.PositionMM, 2*incrementMM, "the drive's is right")
	at(2.1, 90+36-2*short)
	at(0.1, 90+36)
	at(-0.1, 90-36+short)
	p.Rig().Encoder.WrapErrorDeg = 0
	p.Reload()
	at(-0.1, 90-36)
}

// A contact that bounces is open for its part of every period while the brake is closed, and
// open all the time while it is open.
func TestFeedbackChatters(t *testing.T) {
	r := timedRig()
	r.Brake.FeedbackSignal = SignalChattering
	p := New(r, 1)
	require.False(t, p.Sample().BrakeClosed)
	run(p, Command{Mode: Hold, CloseBrake: true}, 100*time.Millisecond)
	count := func(closed bool) (says int) {
		for range ticks(&r, 4*bouncePeriod) {
			if p.Sample().BrakeClosed {
				says++
			}
			p.Step(Command{Mode: Hold, CloseBrake: closed})
		}
		return says
	}
	require.Equal(t, 4*ticks(&r, bouncePeriod-bounceOpen), count(true))
	run(p, Command{Mode: Hold}, 100*time.Millisecond)
	require.Zero(t, count(false))
}
