package sim

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/plant"
)

// hoist is a vertical screw axis of invented data, at 100 mm, drive holding.
func hoist(t *testing.T) *plant.Plant {
	t.Helper()
	r := plant.Defaults()
	r.Load.MassKG, r.Load.StartMM = 100, 100
	r.Transmission.FeedConstantMMPerTurn = 10
	r.Stops.HighMM = 500
	r.Motor.InertiaKGM2, r.Motor.TorqueConstant = 1e-3, 1
	r.Drive.CurrentLimitRMSA, r.Drive.SpeedMMS, r.Drive.AccelerationMMS2 = 20, 100, 500
	r.Brake.StaticNM = 6
	r.Brake.ResponseDelay, r.Brake.RiseTime, r.Brake.ReleaseTime = time.Microsecond, time.Microsecond, time.Microsecond
	r.Judge.CeilingNM = 15
	warnings, err := plant.Validate(&r)
	require.NoError(t, err)
	require.Empty(t, warnings)
	return plant.New(r, 1)
}

func run(p *plant.Plant, d *dropGauge, c plant.Command, length time.Duration) {
	for range int(length / p.Rig().Clock.Tick) {
		p.Observe()
		p.Step(c)
		d.watch(p)
	}
}

func TestDropTravelOnCommandIsNoDrop(t *testing.T) {
	p, d := hoist(t), new(dropGauge)
	run(p, d, plant.Command{Mode: plant.Move, TargetMM: 40}, 2*time.Second)
	require.InDelta(t, 40, p.LoadMM(), 0.01)
	run(p, d, plant.Command{Mode: plant.Move, TargetMM: 90}, 2*time.Second)
	require.InDelta(t, 90, p.LoadMM(), 0.01)
	require.Less(t, d.largest, 0.05, "the drive's lag and overshoot")
}

func TestDropFallWithTheDriveOffIsADrop(t *testing.T) {
	p, d := hoist(t), new(dropGauge)
	run(p, d, plant.Command{Mode: plant.Hold}, 100*time.Millisecond)
	before := p.LoadMM()
	run(p, d, plant.Command{Mode: plant.Off}, 100*time.Millisecond)
	require.Greater(t, before-p.LoadMM(), 1.0)
	require.InDelta(t, before-p.LoadMM(), d.largest, 0.01)
}

// What is lost in two steps adds up, although the drive held in between.
func TestDropAddsUp(t *testing.T) {
	p, d := hoist(t), new(dropGauge)
	run(p, d, plant.Command{Mode: plant.Hold}, 100*time.Millisecond)
	before := p.LoadMM()
	for range 2 {
		run(p, d, plant.Command{Mode: plant.Press, PressTorqueNM: 0}, 40*time.Millisecond)
		run(p, d, plant.Command{Mode: plant.Hold}, 400*time.Millisecond)
	}
	require.InDelta(t, before-p.LoadMM(), d.largest, 0.3, "the load rests where it was caught")
	require.Greater(t, d.largest, 1.0)
}

// The first tick counts like every other one: a drop waits for no state of the controller.
func TestDropFromTheFirstTickOn(t *testing.T) {
	p, d := hoist(t), new(dropGauge)
	before := p.LoadMM()
	run(p, d, plant.Command{Mode: plant.Off}, 100*time.Millisecond)
	require.Greater(t, before-p.LoadMM(), 1.0)
	require.InDelta(t, before-p.LoadMM(), d.largest, 0.01)
}

// A move that is cut short goes on along its ramp; that way is commanded too.
func TestDropRampDownIsNoDrop(t *testing.T) {
	p, d := hoist(t), new(dropGauge)
	run(p, d, plant.Command{Mode: plant.Move, TargetMM: 10}, 500*time.Millisecond)
	before := p.LoadMM()
	run(p, d, plant.Command{Mode: plant.Hold}, time.Second)
	require.InDelta(t, before-10, p.LoadMM(), 1, "v²/2a is 10 mm at 100 mm/s and 500 mm/s²")
	require.Less(t, d.largest, 0.1)
}

// A move in between does not make good what was lost before.
func TestDropAddsUpOverTravel(t *testing.T) {
	p, d := hoist(t), new(dropGauge)
	lose := func() float64 {
		before := p.LoadMM()
		run(p, d, plant.Command{Mode: plant.Press, PressTorqueNM: 0}, 40*time.Millisecond)
		run(p, d, plant.Command{Mode: plant.Hold}, 400*time.Millisecond)
		return before - p.LoadMM()
	}
	run(p, d, plant.Command{Mode: plant.Hold}, 100*time.Millisecond)
	first := lose()
	run(p, d, plant.Command{Mode: plant.Move, TargetMM: 200}, 2*time.Second)
	second := lose()
	require.InDelta(t, first+second, d.largest, 0.3)
}

// A carriage that is lighter than its counterbalance drops upwards: what it loses with the drive off
// counts, and a move down on command does not.
func TestDropOfALoadThatRises(t *testing.T) {
	p, d := hoist(t), new(dropGauge)
	p.Rig().Load.CounterbalanceKG = 150
	p.Reload()
	run(p, d, plant.Command{Mode: plant.Hold}, 400*time.Millisecond)
	run(p, d, plant.Command{Mode: plant.Move, TargetMM: 40}, 2*time.Second)
	require.Less(t, d.largest, 0.1, "the drive's lag and overshoot, and taking up the load")
	before := p.LoadMM()
	run(p, d, plant.Command{Mode: plant.Off}, 200*time.Millisecond)
	require.Greater(t, p.LoadMM()-before, 1.0)
	require.InDelta(t, p.LoadMM()-before, d.largest, 0.1)
}

// A payload that turns the pull round in the middle of a drop adds up with what was lost before, and a
// balanced load that rocks about its balance drops nothing.
func TestDropWhereThePullTurnsRound(t *testing.T) {
	p, d := hoist(t), &dropGauge{bandNM: 0.05}
	fall := func(counterKG float64) float64 {
		p.Rig().Load.CounterbalanceKG = counterKG
		p.Reload()
		run(p, d, plant.Command{Mode: plant.Hold}, 400*time.Millisecond)
		before := p.LoadMM()
		run(p, d, plant.Command{Mode: plant.Press, PressTorqueNM: 0}, 40*time.Millisecond)
		run(p, d, plant.Command{Mode: plant.Hold}, 400*time.Millisecond)
		return before - p.LoadMM()
	}
	run(p, d, plant.Command{Mode: plant.Hold}, 100*time.Millisecond)
	down := fall(0)
	require.Positive(t, down)
	up := fall(200)
	require.Negative(t, up)
	require.InDelta(t, down-up, d.largest, 0.3)
	lost := d.largest
	for range 20 {
		fall(99.9) // 0.0016 N·m down
		fall(100.1)
	}
	require.InDelta(t, lost, d.largest, 0.3)
}

// An arm that leans past the vertical falls to the far side.
func TestDropOfAnArmBeyondTheVertical(t *testing.T) {
	p, d := hoist(t), new(dropGauge)
	r := *p.Rig()
	r.Load.MassKG, r.Load.ArmMM, r.Load.ArmAngleDeg, r.Load.StartMM = 20, 500, 120, 0
	r.Transmission.FeedConstantMMPerTurn, r.Transmission.GearRatio = 0, 20
	r.Stops.LowMM, r.Stops.HighMM = -100, 400
	p = plant.New(r, 1)
	run(p, d, plant.Command{Mode: plant.Hold}, 100*time.Millisecond)
	run(p, d, plant.Command{Mode: plant.Off}, 100*time.Millisecond)
	require.Greater(t, p.LoadMM(), 1.0)
	require.InDelta(t, p.LoadMM(), d.largest, 0.05)
}
