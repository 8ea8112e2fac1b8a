package plant

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// idealRig is an axis as kinematics has it: no friction of the guide, a current that is gone at
// once, and a stiff brake that stands with its full torque after its delay and not before.
func idealRig() Rig {
	r := paneRig()
	r.Guide = Guide{StribeckRPM: 10, WindUpDeg: 0.1, DampingRatio: 0.5}
	r.Transmission.Efficiency = 1
	r.Brake.SlidingNM, r.Brake.WindUpDeg = r.Brake.StaticNM, 1e-4
	r.Brake.ResponseDelay, r.Brake.RiseTime = 40*time.Millisecond, 10*time.Microsecond
	r.Drive.CurrentLag = 10 * time.Microsecond
	return r
}

// kinematicDrop is the drop in mm with an ideal brake of a torque C after a delay t: the load falls
// free of the brake and is then stopped with a constant deceleration. With a = τ/J,
//
//	s = v₀ t + a t²/2 + (v₀ + a t)²/(2 (C − τ)/J)
//
// Source: motion under constant acceleration.
func kinematicDrop(r *Rig, capacity, speedMMS float64) float64 {
	d := Derive(r)
	t := r.Brake.ResponseDelay.Seconds()
	a, b := d.LoadTorqueNM/d.InertiaKGM2, (capacity-d.LoadTorqueNM)/d.InertiaKGM2
	w := speedMMS / d.MMPerRad
	return (w*t + a*t*t/2 + (w+a*t)*(w+a*t)/(2*b)) * d.MMPerRad
}

func TestPowerFailureAgainstKinematics(t *testing.T) {
	r := idealRig()
	f := NewPowerFailure(&r, false)
	load := Derive(&r).LoadTorqueNM
	for _, factor := range []float64{1.1, 1.3, 2, 3} {
		for _, speed := range []float64{0, 40, 150} {
			mm, stops := f.DropMM(factor*load, speed)
			assert.True(t, stops)
			assert.InEpsilon(t, kinematicDrop(&r, factor*load, speed), mm, 0.01, "%g times the load torque from %g mm/s", factor, speed)
		}
	}
}

// The least capacity is that of the closed form solved for C, and the limit is met from there on:
// C = τ + J (v₀ + a t)²/(2 (s − v₀ t − a t²/2)).
func TestNeededCapacityAgainstKinematics(t *testing.T) {
	r := idealRig()
	f, d := NewPowerFailure(&r, false), Derive(&r)
	delay := r.Brake.ResponseDelay.Seconds()
	for _, c := range []struct{ speed, limit float64 }{{0, 4}, {0, 8}, {60, 15}} {
		a, w := d.LoadTorqueNM/d.InertiaKGM2, c.speed/d.MMPerRad
		left := c.limit/d.MMPerRad - w*delay - a*delay*delay/2
		require.Positive(t, left, "the limit can be met")
		want := d.LoadTorqueNM + d.InertiaKGM2*(w+a*delay)*(w+a*delay)/(2*left)
		got := f.NeededNM(c.speed, c.limit)
		assert.InEpsilon(t, want, got, 0.01, "%+v", c)
		assert.True(t, f.Meets(got, c.speed, c.limit))
		assert.False(t, f.Meets(got*0.98, c.speed, c.limit))
	}
	fallen := kinematicDrop(&r, math.Inf(1), 0)
	assert.True(t, math.IsInf(f.NeededNM(0, 0.9*fallen), 1), "no torque makes up for the delay")
}

// A brake without enough torque does not stop the load within the travel, and neither does one on
// the motor side of a severed transmission.
func TestPowerFailureThatNothingStops(t *testing.T) {
	r := idealRig()
	f, load := NewPowerFailure(&r, false), Derive(&r).LoadTorqueNM
	mm, stops := f.DropMM(0.9*load, 0)
	assert.False(t, stops)
	d, delay := Derive(&r), r.Brake.ResponseDelay.Seconds()
	a, slide := load/d.InertiaKGM2, 2-delay
	assert.InEpsilon(t, (a*delay*delay/2+a*delay*slide+0.1*a*slide*slide/2)*d.MMPerRad, mm, 0.01, "a constant acceleration for 2 s")
	r.Transmission.Severed = true
	_, stops = NewPowerFailure(&r, false).DropMM(10*load, 0)
	assert.False(t, stops)
	stuck := idealRig()
	stuck.Brake.OutputStuckOn = true
	assert.False(t, NewPowerFailure(&stuck, false).Meets(10*load, 0, 1000))
}

// What has happened to a brake in a run counts: heat above the knee, glaze and air gap make it drop
// the load as a brake that has them from the start does.
func TestPowerFailureWithTheBrakeOfTheMoment(t *testing.T) {
	r := idealRig()
	r.Brake.StaticNM, r.Brake.SlidingNM = 2*Derive(&r).LoadTorqueNM, 2*Derive(&r).LoadTorqueNM
	p := New(r, 1)
	s := p.State()
	s.BrakeTempC, s.BrakeGapMM, s.BrakeGlaze = r.Brake.FadeFromC+100, 1.2*r.Brake.NewGapMM, 0.1
	p.brake.refresh(&p.state.BrakeState)
	now := NewPowerFailure(p.RigNow(), false)
	assert.InEpsilon(t, r.Brake.StaticNM*(1-100*r.Brake.FadePerK)*0.9, now.CapacityNM(), 1e-9)
	assert.InEpsilon(t, p.StaticCapacityNM(), now.CapacityNM(), 1e-9)
	later := idealRig()
	later.Brake.ResponseDelay = later.Brake.ResponseDelay * 12 / 10 // the delay grows with the air gap
	mm, stops := now.DropMM(now.CapacityNM(), 0)
	require.True(t, stops)
	assert.InEpsilon(t, kinematicDrop(&later, now.CapacityNM(), 0), mm, 0.02)
}
