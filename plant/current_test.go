package plant

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// lagRig has τ_i = 1 ms, four ticks, and k_t = 1 N·m per A rms.
func lagRig() Rig {
	r := bareRig()
	r.Drive.CurrentLag = time.Millisecond
	return r
}

// A step of the current command is answered by i = i_cmd (1 − exp(−t/τ_i)). Source:
// step response of a first-order lag, any control text: 1 − e⁻¹ = 0.632121,
// 1 − e⁻³ = 0.950213, 1 − e⁻⁴ = 0.981684. The loop is solved exactly, so the
// tolerance of the full values is rounding; the printed ones have six digits.
func TestCurrentIsAFirstOrderLag(t *testing.T) {
	for _, c := range []struct {
		constants int
		share     float64
	}{{1, 0.632121}, {3, 0.950213}, {4, 0.981684}} {
		p := unpowered(New(lagRig(), 1))
		p.drive.mode = Press
		run(p, Command{Mode: Press, PressTorqueNM: 8, CloseBrake: true}, time.Duration(c.constants)*time.Millisecond)
		require.InDelta(t, 8*c.share, p.State().CurrentRMSA, 8*5e-7)
		require.InEpsilon(t, 8*(1-math.Exp(-float64(c.constants))), p.State().CurrentRMSA, 1e-12)
	}
}

// The torque of a tick is its mean, so that the impulse of a step is exact:
// ∫τ dt = τ_cmd (t − τ_i (1 − exp(−t/τ_i))). Source: integral of the above.
func TestMotorTorqueIsTheMeanOfTheTick(t *testing.T) {
	p := unpowered(New(lagRig(), 1))
	p.drive.mode = Press
	h, impulse := p.rig.Clock.Tick.Seconds(), 0.0
	for range 12 {
		p.Step(Command{Mode: Press, PressTorqueNM: 8, CloseBrake: true})
		impulse += p.State().MotorTorqueNM * h
	}
	// t = 3 ms: 8 (3e-3 − 1e-3·0.950213) = 0.0163983 N·m·s
	require.InEpsilon(t, 8*(3e-3-1e-3*(1-math.Exp(-3))), impulse, 1e-12)
}

// Drive off means no current command: the holding current of 5 A decays with τ_i.
func TestCurrentDecaysWhenTheDriveGoesOff(t *testing.T) {
	p := New(lagRig(), 1)
	require.InDelta(t, bareLoad, p.State().CurrentRMSA, 1e-12) // starts carrying: 5 N·m at 1 N·m/A
	run(p, Command{Mode: Off, CloseBrake: true}, 2*time.Millisecond)
	require.InEpsilon(t, bareLoad*math.Exp(-2), p.State().CurrentRMSA, 1e-12)
}

// The drive's own limit bounds the current, up and down.
func TestCurrentLimit(t *testing.T) {
	for _, torque := range []float64{50, -50} {
		r := lagRig()
		r.Drive.CurrentLimitRMSA = 12
		r.Brake.StaticNM = 100
		p := New(r, 1)
		run(p, Command{Mode: Press, PressTorqueNM: torque, CloseBrake: true}, 100*time.Millisecond)
		// 100 time constants later nothing but rounding is missing
		require.InEpsilon(t, math.Copysign(12, torque), p.State().CurrentRMSA, 1e-12)
	}
}

// A drive that has a nominal torque constant above the true one gets less torque for its
// current: τ = k_t i times the torque factor, and reports the torque it expects.
func TestTorqueFactor(t *testing.T) {
	r := lagRig()
	r.Motor.TorqueFactor = 0.8
	p := New(r, 1)
	seen := run(p, Command{Mode: Press, PressTorqueNM: -10, CloseBrake: true}, 100*time.Millisecond)
	require.InEpsilon(t, -8, p.State().MotorTorqueNM, 1e-12)
	require.InEpsilon(t, -10, seen.TorqueNM, 1e-12)
}

// A sine of amplitude A has an rms value of A/√2, by the definition of rms; measured
// here over one period, sampled evenly, which is exact but for rounding. The rig's
// amplitudes must stand to its rms values as the sine's do.
func TestAmplitudeAndRMS(t *testing.T) {
	const samples = 360
	var squares float64
	for n := range samples {
		i := 7 * math.Sin(2*math.Pi*float64(n)/samples)
		squares += i * i
	}
	ratio := 7 / math.Sqrt(squares/samples)
	require.InEpsilon(t, math.Sqrt2, ratio, 1e-12)

	r := paneRig()
	d := Derive(&r)
	require.InEpsilon(t, d.HoldingCurrentRMSA*ratio, d.HoldingCurrentAmpA, 1e-12)
	require.InEpsilon(t, d.PressDownNM/r.Motor.TorqueConstant*ratio, d.RequiredDownAmpA, 1e-12)
	require.InEpsilon(t, d.PressUpNM/r.Motor.TorqueConstant*ratio, d.RequiredUpAmpA, 1e-12)
}

// With the power stage off the current decays with the time constant of its loop, e^(−t/τ) of what it was, and
// ends at 0: 1e-300 is e^−691.
func TestCurrentDecaysToNone(t *testing.T) {
	r := bareRig()
	p := New(r, 1)
	off := Command{Mode: Off, CloseBrake: true}
	begin := p.State().CurrentRMSA
	run(p, off, 10*r.Drive.CurrentLag)
	require.InEpsilon(t, begin*math.Exp(-10), p.State().CurrentRMSA, 1e-9)
	run(p, off, 640*r.Drive.CurrentLag)
	require.NotZero(t, p.State().CurrentRMSA)
	run(p, off, 60*r.Drive.CurrentLag)
	require.Zero(t, p.State().CurrentRMSA)
	require.Zero(t, p.State().MotorTorqueNM)
}
