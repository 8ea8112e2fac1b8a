package plant

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// transducerRig is lagRig with a brake that holds whatever the motor does.
func transducerRig(change func(*Rig)) Rig {
	r := lagRig()
	r.Brake.StaticNM, r.Brake.SlidingNM = 1000, 1000
	if change != nil {
		change(&r)
	}
	return r
}

// closedLoop is the current and its integral in a loop with a transducer of gain g and offset o,
// from i₀, for a constant command u. Source: the solution of a linear equation of first order,
// any text on differential equations, with i∞ = (u − o)/g and the time constant τ/g:
//
//	i(t) = i∞ + (i₀ − i∞) e^(−g t/τ),  ∫i dt = i∞ t + (i₀ − i∞)(τ/g)(1 − e^(−g t/τ))
func closedLoop(u, start, gain, offset, t float64) (current, integral float64) {
	const lag = 1e-3
	end, decay := (u-offset)/gain, math.Exp(-gain*t/lag)
	return end + (start-end)*decay, end*t + (start-end)*(lag/gain)*(1-decay)
}

// The measured current follows the command, so that the true one settles at (i_cmd − i₀)/g.
// The loop is solved exactly: the tolerance is rounding. The motor has 1 N·m per A.
func TestTransducerIsInsideTheLoop(t *testing.T) {
	for _, c := range []struct{ gain, offset float64 }{{1, 0}, {1.3, 0}, {0.8, 0}, {1, 0.5}, {1.3, -0.4}, {3, 2}, {0.01, 0}} {
		p := New(transducerRig(nil), 1)
		p.Rig().Drive.CurrentGain, p.Rig().Drive.CurrentOffsetRMSA = c.gain, c.offset
		p.Reload()
		p.drive.mode, p.drive.press = Press, bareLoad
		h, impulse := p.rig.Clock.Tick.Seconds(), 0.0
		for n := range 40 {
			p.Sample()
			p.Step(Command{Mode: Press, PressTorqueNM: 8, CloseBrake: true})
			impulse += p.State().MotorTorqueNM * h
			current, integral := closedLoop(8, bareLoad, c.gain, c.offset, float64(n+1)*h)
			require.InEpsilon(t, current, p.State().CurrentRMSA, 1e-11)
			require.InEpsilon(t, integral, impulse, 1e-11)
		}
	}
}

// What is read is what was commanded, and what presses is less: on the axis of the pane hoist a
// press up of 6.98 N·m read by a transducer that is 30 % high loads the brake with
// 6.98/1.3 − 2.81 = 2.56 N·m in place of 4.17 N·m. Source: by hand.
func TestHighReadingPressesLess(t *testing.T) {
	r := paneRig()
	r.Drive.CurrentGain, r.Encoder.NoiseDeg = 1.3, 0
	p := New(r, 1)
	run(p, Command{Mode: Hold, CloseBrake: true}, 300*time.Millisecond)
	seen := run(p, Command{Mode: Press, PressTorqueNM: 6.98, CloseBrake: true}, 500*time.Millisecond)
	load := 180 * StandardGravity * 0.01 / (2 * math.Pi)
	require.InDelta(t, 6.98, seen.TorqueNM, 1e-9)
	require.InDelta(t, 6.98/1.3, p.State().MotorTorqueNM, 1e-9)
	require.InDelta(t, 6.98/1.3-load, -p.State().BrakeTorqueNM-p.State().GuideTorqueNM, 1e-3)
}

// A load at rest under position control takes its true current, and a transducer of gain g reads
// g times that: this is what a check of the load at rest can see.
func TestHoldingCurrentReadsHigh(t *testing.T) {
	r := transducerRig(func(r *Rig) { r.Drive.CurrentGain, r.Drive.CurrentOffsetRMSA = 1.3, 0.2 })
	seen := run(New(r, 1), Command{Mode: Hold}, 500*time.Millisecond)
	require.InDelta(t, 1.3*bareLoad+0.2, seen.TorqueNM, 1e-2) // the drive hunts within an increment
}

// A start with a wrong transducer is one at rest, as with a right one: the loop has settled.
func TestStartWithAWrongTransducer(t *testing.T) {
	for _, change := range []func(*Drive){
		func(d *Drive) { d.CurrentGain = 1.3 }, func(d *Drive) { d.CurrentOffsetRMSA = 0.4 }, func(d *Drive) { d.CurrentFrozen = true },
	} {
		r := transducerRig(func(r *Rig) { change(&r.Drive) })
		p := New(r, 1)
		p.Sample()
		p.Step(Command{Mode: Hold})
		require.InDelta(t, bareLoad, p.State().CurrentRMSA, 1e-9)
	}
}

// A reading that stands still does not answer, and the controller integrates: the current rises
// by (i_cmd − i_held)/τ_i to the peak current, 3 A in 1 ms a millisecond here, and falls to the
// negative one as soon as the command is below the reading. Source: an integrator with a
// constant input, by hand.
func TestFrozenTransducerWindsUp(t *testing.T) {
	r := transducerRig(func(r *Rig) { r.Drive.PeakCurrentRMSA, r.Drive.CurrentLimitRMSA = 40, 25 })
	p := New(r, 1)
	run(p, Command{Mode: Hold, CloseBrake: true}, 300*time.Millisecond)
	p.drive.mode, p.drive.press = Press, 0
	run(p, Command{Mode: Press, PressTorqueNM: 5, CloseBrake: true}, 100*time.Millisecond)
	p.Rig().Drive.CurrentFrozen = true
	p.Reload()
	press := Command{Mode: Press, PressTorqueNM: 8, CloseBrake: true}
	for n := range 80 {
		seen := p.Sample()
		require.InDelta(t, 5, seen.TorqueNM, 1e-9, "reads what it read")
		p.Step(press)
		require.InDelta(t, min(40, 5+3*float64(n+1)/4), p.State().CurrentRMSA, 1e-9)
	}
	press.PressTorqueNM = 2
	run(p, press, 50*time.Millisecond)
	require.InDelta(t, -40, p.State().CurrentRMSA, 1e-9)
	run(p, Command{Mode: Off, CloseBrake: true}, time.Millisecond)
	require.InEpsilon(t, -40*math.Exp(-1), p.State().CurrentRMSA, 1e-11, "without the power stage nothing is measured")
}

// A transducer of gain 0 measures its offset alone and winds up in the same way; with the wrong
// sign, as from exchanged wires, the loop is unstable, i = i∞ + (i₀ − i∞) e^(|g| t/τ). Source:
// closedLoop above.
func TestReversedTransducerRunsAway(t *testing.T) {
	p := New(transducerRig(func(r *Rig) { r.Drive.PeakCurrentRMSA = 150 }), 1)
	p.Rig().Drive.CurrentGain = -1
	p.Reload()
	p.drive.mode, p.drive.press = Press, bareLoad
	for n := range 40 {
		p.Sample()
		p.Step(Command{Mode: Press, PressTorqueNM: 8, CloseBrake: true})
		current, _ := closedLoop(8, bareLoad, -1, 0, float64(n+1)*250e-6)
		require.InEpsilon(t, min(150, current), p.State().CurrentRMSA, 1e-11)
	}
	p.Rig().Drive.CurrentGain, p.Rig().Drive.CurrentLag = -10, time.Microsecond
	p.Reload()
	run(p, Command{Mode: Press, PressTorqueNM: 8, CloseBrake: true}, 5*time.Millisecond)
	require.Equal(t, 150.0, p.State().CurrentRMSA, "however fast")
}

// The response of a tick has no step where its series takes over from the closed form.
func TestResponseOfATick(t *testing.T) {
	for _, y := range []float64{1e-3, -1e-3} {
		const x = 0.25
		outside, mean := response(x, y/x*(1+1e-9))
		inside, mean2 := response(x, y/x*(1-1e-9))
		require.InEpsilon(t, outside, inside, 1e-9)
		require.InEpsilon(t, mean, mean2, 1e-9)
	}
	step, mean := response(0.25, 0)
	require.Equal(t, []float64{0.25, 0.125}, []float64{step, mean}, "an integrator: x and half of it")
}

// With one transducer for both sides the judge reads what the drive reads; with its own, what it
// measures of the true current.
func TestJudgeTransducer(t *testing.T) {
	r := transducerRig(func(r *Rig) { r.Drive.CurrentGain, r.Drive.CurrentNoiseRMSA = 1.3, 0.01 })
	p := New(r, 1)
	r.Judge.Transducer, r.Judge.CurrentGain, r.Judge.CurrentOffsetRMSA = TransducerOwn, 1.1, 0.2
	q := New(r, 1)
	r.Judge.CurrentNoiseRMSA = 0.05
	noisy := New(r, 1)
	var squares float64
	const samples = 4000
	for range samples {
		shared, own, noise := p.Sample(), q.Sample(), noisy.Sample()
		require.Equal(t, shared.CurrentRMSA, p.JudgeCurrentRMSA(&shared))
		x := q.JudgeCurrentRMSA(&own)
		require.InDelta(t, 1.1*q.State().CurrentRMSA+0.2, x, 1e-12)
		require.Equal(t, shared.CurrentRMSA, own.CurrentRMSA, "the drive's noise is its own")
		require.Equal(t, shared.CurrentRMSA, noise.CurrentRMSA)
		squares += math.Pow(noisy.JudgeCurrentRMSA(&noise)-x, 2)
		for _, p := range []*Plant{p, q, noisy} {
			p.Step(Command{Mode: Hold, CloseBrake: true})
		}
	}
	// the standard deviation of an estimate from n values is σ/√(2n), 1.1 % here; 5 of them
	require.InEpsilon(t, 0.05, math.Sqrt(squares/samples), 5/math.Sqrt(2*samples))
}

// A drive delivers its current limit, whatever is said of its peak.
func TestPeakCurrentIsAtLeastTheLimit(t *testing.T) {
	for peak, want := range map[float64]float64{0: 25, 9: 25, 40: 40} {
		r := transducerRig(func(r *Rig) { r.Drive.PeakCurrentRMSA, r.Drive.CurrentLimitRMSA, r.Drive.CurrentGain = peak, 25, 0 })
		p := New(r, 1)
		run(p, Command{Mode: Press, PressTorqueNM: 10, CloseBrake: true}, 100*time.Millisecond)
		require.Equal(t, want, p.State().CurrentRMSA)
	}
}
