package plant

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// A trapezoid move of distance d takes d/v + v/a; one too short to reach v takes
// 2√(d/a), a triangle. Source: kinematics of the trapezoid profile, any motion text.
//
// The profile may take six ticks more, never less than one below: it keeps the tick
// that it needs to stop in, v' = √(v² + a²h²) − ah, which is slower than v − ah by
// ah·ah/2v each tick, in all ½ ln(v/ah) ticks, 3.5 for v = 1000 ah; the rest is rounding
// to whole ticks at its corners.
func TestTrapezoidDuration(t *testing.T) {
	for _, c := range []struct {
		name     string
		distance float64 // mm
		want     float64 // s
	}{
		{"trapezoid", 400, 400.0/150 + 150.0/600},          // 2.916667 s
		{"downward", -400, 400.0/150 + 150.0/600},          // the same
		{"just a triangle", 37.5, 2 * math.Sqrt(37.5/600)}, // v²/a = 37.5: 0.5 s
		{"short triangle", 10, 2 * math.Sqrt(10.0/600)},    // 0.258199 s, peak √6000 = 77 mm/s
		{"very short", -0.5, 2 * math.Sqrt(0.5/600)},       // 0.057735 s
	} {
		t.Run(c.name, func(t *testing.T) {
			p := New(bareRig(), 1)
			start, _ := p.SetpointMM()
			command := Command{Mode: Move, TargetMM: start + c.distance}
			ticks := 0
			for travelling := true; travelling; ticks++ {
				p.Sample()
				p.Step(command)
				_, travelling = p.SetpointMM()
				require.Less(t, ticks, 20000)
			}
			at, _ := p.SetpointMM()
			require.InDelta(t, command.TargetMM, at, 1e-9)
			late := float64(ticks) - c.want/p.rig.Clock.Tick.Seconds()
			require.GreaterOrEqual(t, late, -1.0)
			require.LessOrEqual(t, late, 6.0)
		})
	}
}

// The load follows, comes to rest in the window and says so; carried all the way.
func TestMoveArrives(t *testing.T) {
	p := New(paneRig(), 1)
	var seen Reading
	for range 10_000 {
		seen = p.Sample()
		p.Step(Command{Mode: Move, TargetMM: 350})
	}
	require.True(t, seen.InPosition)
	require.True(t, seen.Standstill)
	require.InDelta(t, 350, p.LoadMM(), p.rig.Drive.InPositionMM)
}

// The setpoint never goes faster than the move's speed, never accelerates harder than
// the drive may, and never passes its target: what a profile is for. Speed and
// acceleration are the differences of the setpoint, so that a jump would show.
// Rounding: 1e-12 of the position, as the differences are of positions.
func TestProfileKeepsItsLimits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const h = 250e-6
		speed := logRange(1, 3000).Draw(t, "speed")
		acceleration := logRange(10, 20000).Draw(t, "acceleration")
		distance := logRange(1e-4, min(500, 5*speed)).Draw(t, "distance")
		target := distance * rapid.SampledFrom([]float64{1, -1}).Draw(t, "sense")
		d := drive{tick: h, millimetres: 1, topSpeed: 1e9, acceleration: acceleration}
		before, step := 0.0, 0.0
		var fastest, hardest, backward, furthest float64
		longest := int((distance/speed+speed/acceleration+2*math.Sqrt(distance/acceleration))/h) + 20
		for range longest {
			d.profile(target, Command{SpeedMMS: speed})
			went := d.setpoint - before
			fastest, hardest = max(fastest, math.Abs(went)), max(hardest, math.Abs(went-step))
			backward, furthest = max(backward, -went*target), max(furthest, math.Abs(d.setpoint))
			before, step = d.setpoint, went
		}
		rounding := 1e-12 * distance
		require.LessOrEqual(t, fastest, speed*h+rounding)
		require.LessOrEqual(t, hardest, acceleration*h*h+rounding)
		require.LessOrEqual(t, backward, rounding*distance)
		require.LessOrEqual(t, furthest, distance+rounding)
		require.Zero(t, d.setpoint-target) // to the bit
		require.Zero(t, d.setSpeed)
	})
}

// Hold in the middle of a move brakes along the profile, within the stopping distance
// v²/2a = 150²/(2·600) = 18.75 mm, and stays; v h = 0.04 mm is one tick's way.
func TestHoldStopsAMove(t *testing.T) {
	p := New(bareRig(), 1)
	run(p, Command{Mode: Move, TargetMM: 400}, time.Second)
	at, travelling := p.SetpointMM()
	require.True(t, travelling)
	run(p, Command{Mode: Hold}, time.Second)
	rest, _ := p.SetpointMM()
	require.InDelta(t, 18.75, rest-at, 0.04)
	require.InDelta(t, rest, p.LoadMM(), p.rig.Drive.InPositionMM)
}

// The drive starts carrying and goes on carrying: the load does not sink by more than
// the increment that it can see, and the mean torque is the load's.
func TestHoldCarriesTheLoad(t *testing.T) {
	p := New(bareRig(), 1)
	increment := p.k.encoderStep * p.k.millimetres
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

// From off the drive needs its switch-on time: 100 ms, 400 ticks without torque.
func TestSwitchOnTime(t *testing.T) {
	p := New(bareRig(), 1)
	run(p, Command{Mode: Off, CloseBrake: true}, 100*time.Millisecond)
	require.False(t, p.Sample().DriveOn)
	run(p, Command{Mode: Hold, CloseBrake: true}, 100*time.Millisecond)
	require.Equal(t, Off, p.DriveMode())
	run(p, Command{Mode: Hold, CloseBrake: true}, 250*time.Microsecond)
	require.Equal(t, Hold, p.DriveMode())
	require.True(t, p.Sample().DriveOn)
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
			run(p, hold, 50*time.Millisecond)
			seen := p.Sample()
			require.Equal(t, c.fault, seen.DriveFault)
			require.False(t, seen.DriveReady)
			require.False(t, seen.DriveOn)
			require.InDelta(t, 0, p.State().CurrentRMSA, 1e-12) // 50 time constants

			c.set(p.Rig(), false)
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
