package plant

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// commutatedRig has a brake that holds whatever the motor does, and a motor of 1 N·m per A.
func commutatedRig(poles int) Rig {
	r := transducerRig(nil)
	r.Motor.PolePairs, r.Encoder.OffsetDeg = poles, 137
	return r
}

// pressing clamps a plant and presses with 10 N·m, after which the current has settled.
func pressing(p *Plant) *Plant {
	run(p, Command{Mode: Hold, CloseBrake: true}, 300*time.Millisecond)
	press10(p, 100*time.Millisecond)
	return p
}

func press10(p *Plant, length time.Duration) {
	run(p, Command{Mode: Press, PressTorqueNM: -10, CloseBrake: true}, length)
}

// An encoder that has slipped by Δθ puts the current p Δθ away from where it forms torque:
// τ = k_t i cos(p Δθ). Source: field-oriented control, any text on electrical drives (Park's
// transformation). cos(4 · 29°) = cos 116° = −0.438371, cos(4 · 22.5°) = 0, cos(3 · 60°) = −1,
// cos(4 · 5°) = 0.939693. The current is what it was, and so is what the drive reads.
func TestSlippedEncoder(t *testing.T) {
	for _, c := range []struct {
		poles        int
		slip, factor float64
	}{{4, 0, 1}, {4, 29, -0.438371}, {4, -29, -0.438371}, {4, 22.5, 0}, {3, 60, -1}, {4, 5, 0.939693}, {1, 90, 0}, {4, 90, 1}} {
		p := pressing(New(commutatedRig(c.poles), 1))
		p.Rig().Encoder.OffsetDeg += c.slip
		p.Reload()
		press10(p, 100*time.Millisecond)
		require.InDelta(t, -10*c.factor, p.State().MotorTorqueNM, 10*5e-7, "%d pole pairs, %g degrees", c.poles, c.slip)
		require.InDelta(t, -10, p.Sample().TorqueNM, 1e-9, "the drive knows nothing of it")
		p.Rig().Encoder.OffsetDeg -= c.slip
		p.Reload()
		press10(p, 10*time.Millisecond)
		require.InDelta(t, -10, p.State().MotorTorqueNM, 1e-9, "right again")
	}
}

// What is there from the start belongs to the commissioning, and a motor with a commutation
// encoder of its own does not ask the axis's encoder.
func TestCommutationIsCorrect(t *testing.T) {
	r := commutatedRig(4)
	r.Encoder.Scale, r.Load.StartMM = 1.2, 300
	require.InDelta(t, -10, pressing(New(r, 1)).State().MotorTorqueNM, 1e-3, "at rest, but for the deflection of the brake")

	r = commutatedRig(4)
	r.Motor.Commutation = CommutationOwn
	p := pressing(New(r, 1))
	e := &p.Rig().Encoder
	e.OffsetDeg, e.DriftDegPerS, e.Scale = 29, 40, 1.1
	p.Reload()
	press10(p, 500*time.Millisecond)
	require.InDelta(t, -10, p.State().MotorTorqueNM, 1e-9)
	e.WrapErrorDeg, p.Rig().Motor.Commutation = 60, CommutationEncoder
	e.OffsetDeg, e.DriftDegPerS, e.Scale = 137, 0, 1
	q := pressing(New(commutatedRig(4), 1))
	q.Rig().Encoder.WrapErrorDeg = 60
	q.Reload()
	press10(q, 100*time.Millisecond)
	require.InDelta(t, -10, q.State().MotorTorqueNM, 1e-9, "the wrap is the judge's")
}

// A drift of 9 deg/s with four pole pairs turns the torque round once in 10 s:
// τ = k_t i cos(2π t/10 s), in the middle of each tick. Source: by hand.
func TestDriftTurnsTheTorque(t *testing.T) {
	p := pressing(New(commutatedRig(4), 1))
	p.Rig().Encoder.DriftDegPerS = 9
	p.Reload()
	for n := range 40000 {
		p.Sample()
		p.Step(Command{Mode: Press, PressTorqueNM: -10, CloseBrake: true})
		require.InDelta(t, -10*math.Cos(2*math.Pi*(float64(n)+0.5)*250e-6/10), p.State().MotorTorqueNM, 1e-9)
	}
	p.Rig().Encoder.DriftDegPerS = -4
	p.Reload()
	press10(p, time.Second)
	p.Rig().Encoder.DriftDegPerS = 0
	p.Reload()
	press10(p, time.Second)
	require.InDelta(t, -10*math.Cos(4*4*math.Pi/180), p.State().MotorTorqueNM, 1e-9, "what has drifted stays")
}

// A scale s that goes wrong counts from there on: after a further angle α the encoder is wrong
// by (s − 1) α. An axis commanded 10 mm on, on one with 20π mm a turn, goes 10/1.1 mm; that is
// α = 52.087° and p Δθ = 20.8348°, of which the cosine is 0.934607. It carries 5 N·m, so that
// 5/0.934607 = 5.34984 A flow. Source: by hand.
func TestScaleTurnsTheTorque(t *testing.T) {
	p := New(commutatedRig(4), 1)
	run(p, Command{Mode: Hold}, 100*time.Millisecond)
	p.Rig().Encoder.Scale = 1.1
	p.Reload()
	run(p, Command{Mode: Move, TargetMM: 10}, 2*time.Second)
	require.InDelta(t, 10/1.1, p.LoadMM(), 2*incrementMM)
	mean := 0.0
	const samples = 8000
	for range samples {
		mean += p.Sample().CurrentRMSA / samples
		p.Step(Command{Mode: Hold})
	}
	require.InDelta(t, 5.34984, mean, 1e-2) // an increment is 0.09° electrical, 3e-3 A; the drive hunts within some
}

// With a frozen encoder the field stays where it was, and a slipping shaft turns away from it: an
// endless slip under controlled torque is impossible. With a torque T down, a load L and a brake
// of constant torque C, T + L > C > L, the shaft comes to rest where the work is balanced,
//
//	(T/p) sin(p φ) = (C − L) φ
//
// Source: energy. T = 4, L = 5, C = 6 N·m and p = 4: φ = sin(4 φ), φ = 0.618644 rad.
func TestFrozenEncoderEndsTheSlip(t *testing.T) {
	r := bareRig()
	r.Motor.PolePairs = 4
	r.Brake.StaticNM, r.Brake.SlidingNM, r.Brake.WindUpDeg = 6, 6, 1e-4
	r.Drive.CurrentLag = time.Microsecond
	p := New(r, 1)
	run(p, Command{Mode: Hold, CloseBrake: true}, 300*time.Millisecond)
	p.Rig().Encoder.Frozen = true
	p.Reload()
	from := p.State().AngleRad
	run(p, Command{Mode: Press, PressTorqueNM: -4, CloseBrake: true}, 2*time.Second)
	root := 0.618644
	require.InDelta(t, math.Sin(4*root), root, 3e-6)
	require.InEpsilon(t, root, from-p.State().AngleRad, 1e-3)
	require.InDelta(t, 0, p.State().SpeedRadS, 1e-6)
	require.InDelta(t, -4*math.Cos(4*root), p.State().MotorTorqueNM, 4e-3)

	p.Rig().Encoder.Frozen = false
	p.Reload()
	run(p, Command{Mode: Press, PressTorqueNM: -4, CloseBrake: true}, time.Second)
	require.Greater(t, from-p.State().AngleRad, 100.0, "with a good encoder it slips on")
}
