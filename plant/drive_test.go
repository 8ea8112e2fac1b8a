package plant

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// The integral of the speed loop stands still while the torque is at its limit: wound
// up, it would throw the load once the brake opens. Common practice (anti-windup,
// Åström and Hägglund, PID Controllers, ch. 3; from memory).
func TestIntegralDoesNotWindUp(t *testing.T) {
	p := New(bareRig(), 1)
	c := Command{Mode: Move, TargetMM: 300, TorqueLimitNM: 12, CloseBrake: true}
	run(p, c, 100*time.Millisecond) // the shaft has stopped ringing in the brake
	require.InDelta(t, 12, p.drive.commandRMSA, 1e-12)
	before := p.drive.integral
	require.Less(t, before, 11.0)
	run(p, c, 2*time.Second)
	require.InDelta(t, before, p.drive.integral, 1e-12)
}

// The drive starts carrying and goes on carrying: the load does not sink by more than
// the increment that it can see, and the mean torque is the load's.
func TestHoldCarriesTheLoad(t *testing.T) {
	p := New(bareRig(), 1)
	increment := p.c.encoderStep * p.c.millimetres
	var sum float64
	for range 4000 {
		p.Sample()
		p.Step(Command{Mode: Hold})
		sum += p.State().MotorTorqueNM
		require.InDelta(t, 0, p.LoadMM(), increment)
	}
	// impulse balance: over 1 s the mean is off by J Δω at most, and the speed is below
	// an increment a tick: 0.01 kg·m² · 3.8e-4/250e-6 = 0.015 N·m·s
	require.InDelta(t, bareLoad, sum/4000, 0.015)
}

// Pressing moves the torque at the rate given, from the torque that was there, and no
// rate is a step: what a torque ramp means. The command is exact but for rounding.
func TestPressRate(t *testing.T) {
	p := New(bareRig(), 1)
	c := Command{Mode: Press, PressTorqueNM: -3, PressRateNMS: 16, CloseBrake: true}
	run(p, c, 250*time.Millisecond)
	require.InDelta(t, 5-16*0.25, p.drive.commandRMSA, 1e-12) // 1 N·m at 1 N·m/A
	run(p, c, 249*time.Millisecond+750*time.Microsecond)
	require.InDelta(t, -3+16*250e-6, p.drive.commandRMSA, 1e-12)
	run(p, c, 250*time.Millisecond)
	require.InDelta(t, -3, p.drive.commandRMSA, 1e-12)
	c.PressTorqueNM, c.PressRateNMS = 4, 0
	run(p, c, 250*time.Microsecond)
	require.InDelta(t, 4, p.drive.commandRMSA, 1e-12)
}

// pressThenHold presses against the closed brake until all is at rest, then holds, and
// returns the jump of the torque command in N·m.
func pressThenHold(r Rig, seed uint64) float64 {
	p := New(r, seed)
	run(p, Command{Mode: Press, PressTorqueNM: -8, CloseBrake: true}, 100*time.Millisecond)
	before := p.drive.commandRMSA
	run(p, Command{Mode: Hold, CloseBrake: true}, r.Clock.Tick)
	return p.drive.commandRMSA - before
}

// Taking over from pressing, the drive keeps position and torque: nothing jumps but
// rounding.
func TestHoldAfterPressIsBumpless(t *testing.T) {
	require.InDelta(t, 0, pressThenHold(bareRig(), 1), 1e-12)
}

// What is left is the speed loop's answer to the noise of the speed that it measures:
// the difference of two readings over a tick, each with the variance σ² + q²/12, through
// the filter y += f (x − y). The sum of its squared pulse response is 2f²/(2 − f); the
// loop multiplies by its gain, and its integral answers a tick later. Source: variance
// of filtered white noise, any text on digital filters.
//
// With 400 seeds the deviation is known to 1/√800 = 3.5 %; four times that is 14 %. The
// mean shows that no constant jump hides in it: four times 1/√400 of the deviation.
func TestNoiseOfTakeover(t *testing.T) {
	const seeds = 400
	r := bareRig()
	r.Encoder.NoiseDeg = 0.03 // above an increment, so that rounding is as good as noise
	var sum, squares float64
	for seed := range uint64(seeds) {
		jump := pressThenHold(r, seed)
		sum += jump
		squares += jump * jump
	}
	h, d := r.Clock.Tick.Seconds(), Derive(&r)
	f := 1 - math.Exp(-h/r.Drive.SpeedFilter.Seconds())
	reading := math.Hypot(rad(r.Encoder.NoiseDeg), 2*math.Pi/r.Encoder.IncrementsPerTurn/math.Sqrt(12))
	want := d.SpeedGain * math.Sqrt(2*f*f/(2-f)) * reading / h
	require.InEpsilon(t, want, math.Sqrt(squares/seeds), 4/math.Sqrt(2*seeds))
	require.InDelta(t, 0, sum/seeds, 4*want/math.Sqrt(seeds))
}

// The command's torque limit binds in every mode, the drive's own limit too.
func TestTorqueLimit(t *testing.T) {
	for _, c := range []struct {
		name    string
		command Command
		want    float64
	}{
		{"press", Command{Mode: Press, PressTorqueNM: 8, TorqueLimitNM: 6}, 6},
		{"move", Command{Mode: Move, TargetMM: 300, TorqueLimitNM: 6}, 6},
		{"move down", Command{Mode: Move, TargetMM: -300, TorqueLimitNM: 6}, 6},
		{"own", Command{Mode: Move, TargetMM: 300, TorqueLimitNM: 60}, 14},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := bareRig()
			r.Drive.CurrentLimitRMSA = 14
			p := New(r, 1)
			c.command.CloseBrake = true // a move against the brake runs into the limit
			most := 0.0
			for range 8000 {
				p.Sample()
				p.Step(c.command)
				most = max(most, math.Abs(p.drive.commandRMSA))
			}
			require.InDelta(t, c.want, most, 1e-12)
		})
	}
}

// From off the drive needs its switch-on time, to the tick: 100 ms are 400 ticks without
// torque, and the sum of rounded ticks must not make it 401.
func TestSwitchOnTime(t *testing.T) {
	for _, delay := range []time.Duration{0, 250 * time.Microsecond, 33250 * time.Microsecond, 70 * time.Millisecond, 100 * time.Millisecond, time.Second} {
		t.Run(delay.String(), func(t *testing.T) {
			r := bareRig()
			r.Drive.SwitchOnTime = delay
			p := New(r, 1)
			run(p, Command{Mode: Off, CloseBrake: true}, 100*time.Millisecond)
			require.False(t, p.Sample().DriveOn)
			run(p, Command{Mode: Hold, CloseBrake: true}, delay)
			require.Equal(t, Off, p.DriveMode())
			run(p, Command{Mode: Hold, CloseBrake: true}, 250*time.Microsecond)
			require.Equal(t, Hold, p.DriveMode())
			require.True(t, p.Sample().DriveOn)
		})
	}
}

// A drive that trips, loses its encoder, or is not ready gives no torque, and needs its
// switch-on time when all is well again: what STO and a pulse block mean for the axis.
func TestDriveFaults(t *testing.T) {
	for _, c := range []struct {
		name  string
		set   func(r *Rig, bad bool)
		fault bool
	}{
		{"tripped", func(r *Rig, bad bool) { r.Drive.Tripped = bad }, true},
		{"encoder lost", func(r *Rig, bad bool) { r.Encoder.Lost = bad }, true},
		{"not ready", func(r *Rig, bad bool) { r.Drive.Ready = !bad }, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := New(bareRig(), 1)
			hold := Command{Mode: Hold, CloseBrake: true}
			run(p, hold, 50*time.Millisecond)
			c.set(p.Rig(), true)
			p.Reload()
			run(p, hold, 50*time.Millisecond)
			seen := p.Sample()
			require.Equal(t, c.fault, seen.DriveFault)
			require.False(t, seen.DriveReady)
			require.False(t, seen.DriveOn)
			require.InDelta(t, 0, p.State().CurrentRMSA, 1e-12) // 50 time constants

			c.set(p.Rig(), false)
			p.Reload()
			require.True(t, p.Sample().DriveReady)
			run(p, hold, 100*time.Millisecond)
			require.Equal(t, Off, p.DriveMode())
			run(p, hold, 250*time.Microsecond)
			require.Equal(t, Hold, p.DriveMode())
		})
	}
}

// The two defects of pressing: a drive that keeps holding, and one that presses with
// the wrong sign.
func TestPressDefects(t *testing.T) {
	press := Command{Mode: Press, PressTorqueNM: -8, PressRateNMS: 50, CloseBrake: true}
	r := bareRig()
	r.Drive.IgnoresPress = true
	p := New(r, 1)
	run(p, press, time.Second)
	require.Equal(t, Hold, p.DriveMode())
	require.InDelta(t, bareLoad, p.State().MotorTorqueNM, 0.1) // goes on carrying, to the loop's ripple

	r = bareRig()
	r.Drive.TorqueSignReversed = true
	p = New(r, 1)
	run(p, press, time.Second)
	require.InDelta(t, 8, p.State().MotorTorqueNM, 1e-9)
}
