package plant

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// The step is chosen by this: at 250 µs every figure is within 1e-3 of a hundredth of the
// step, and a step four times as long is visibly worse.
func TestAccuracyOfTheWorkingStep(t *testing.T) {
	worst := func(tick time.Duration) float64 {
		r := paneRig()
		r.Clock.Tick, r.Clock.FunctionalScan, r.Clock.SafetyScan = tick, 8*tick, 32*tick
		most := 0.0
		list := Accuracy(r)
		require.Len(t, list, 7)
		for _, d := range list {
			require.NotZero(t, d.Fine, d.Name)
			most = max(most, d.Relative())
		}
		return most
	}
	at250 := worst(250 * time.Microsecond)
	require.Less(t, at250, 1e-3)
	require.Greater(t, worst(time.Millisecond), 4*at250)
}

// Each figure of a rig that can be solved by hand, in closed form. At rest the spring of the
// brake, σ₀ = 20 N·m/0.1°, takes the load of 5 N·m over: a sag of 0.025°, and no slip. At
// 15 rad/s its damper brings it to its capacity at once, and the motor's torque fades with the
// current's lag T = 1 ms, so that the speed falls as
//
//	ω(t) = ω₀ − (C − τ_L) t/J − τ_L T (1 − e^(−t/T))/J
//
// until it stands; the brake slips by the integral of that, less the deflection of 0.1° that
// it keeps, of which all but the 0.025° of the load spring back. It slips at its capacity.
func TestAccuracyOfClosedForms(t *testing.T) {
	const lag, speed, metresPerRad = 1e-3, 15.0, 0.01
	full := rad(0.1)
	held := full * bareLoad / bareBrake
	rate := (bareBrake - bareLoad) / bareInertia
	lost := bareLoad * lag / bareInertia
	stop := (speed - lost) / rate // e^(−t/T) is 6e-5 of lost by then
	turned := (speed-lost)*stop - rate*stop*stop/2 + lost*lag
	slipped := turned - full
	want := []Deviation{
		{Name: "load sag", Unit: "mm", Manoeuvre: "power failure at rest", Fine: held * metresPerRad * 1000},
		{Name: "slip of the brake", Unit: "deg", Manoeuvre: "power failure at rest", Fine: 0},
		{Name: "stopping distance", Unit: "mm", Manoeuvre: "power failure while lowering", Fine: (slipped + held) * metresPerRad * 1000},
		{Name: "stopping time", Unit: "s", Manoeuvre: "power failure while lowering", Fine: stop},
		{Name: "slip of the brake", Unit: "deg", Manoeuvre: "power failure while lowering", Fine: degrees(slipped)},
		{Name: "slip work", Unit: "J", Manoeuvre: "power failure while lowering", Fine: bareBrake * slipped},
		{Name: "breakaway torque", Unit: "N·m", Manoeuvre: "slow press beyond the brake's capacity", Fine: bareBrake},
	}
	r := bareRig()
	r.Brake.ResponseDelay, r.Brake.RiseTime = 0, 0 // at once, which no document may say
	list := Accuracy(r)
	require.Len(t, list, len(want))
	for i, d := range list {
		require.Equal(t, want[i].Name+want[i].Unit+want[i].Manoeuvre, d.Name+d.Unit+d.Manoeuvre)
		require.InDelta(t, want[i].Fine, d.Fine, 1e-4*math.Abs(want[i].Fine), d.Name)
		require.InDelta(t, want[i].Fine, d.Working, 1e-3*math.Abs(want[i].Fine), d.Name)
	}
}

// A brake that is closed within a tick takes hold of a turning shaft at its sliding torque: far
// above the Stribeck speed of 20/min = 2.09 rad/s the capacity is T_k = 12 N·m, and only below
// some 6 rad/s more. Between 90 and 15 rad/s the shaft of 0.01 kg·m² with 5 N·m of load loses
//
//	Δω = (T_k + τ_L) Δt/J = 1700 rad/s² · Δt
//
// from the first tick on: at the end of tick n it has 90 − 1700 n h rad/s. With the static torque
// of 20 N·m in the first tick it would be 0.2 rad/s slower, half as much again as that tick takes.
func TestFirstTickTakesTheSlidingTorque(t *testing.T) {
	r := bareRig()
	r.Brake.SlidingNM = 12
	p := unpowered(New(r, 1))
	p.state.SpeedRadS = 90
	for n := 1; n <= 100; n++ {
		p.Step(Command{Mode: Off, CloseBrake: true})
		lost := (12 + bareLoad) / bareInertia * float64(n) * 250e-6
		require.InDelta(t, 90-lost, p.State().SpeedRadS, 1e-3*lost, "tick %d", n)
	}
}

// A slow shaft that the brake can take over within the tick sticks at once: its static torque
// counts, whatever the Stribeck curve says of its speed. At 0.3 rad/s the stiffest torque is
// (σ₀ h + σ₁) ω = 9.3 N·m·s/rad · 0.3 rad/s = 2.8 N·m with the load's 5 N·m still carried by the
// drive.
func TestSlowShaftSticksInTheFirstTick(t *testing.T) {
	r := bareRig()
	r.Load.GravityMS2, r.Brake.SlidingNM, r.Brake.StribeckRPM = 0, 0.5, 0.1
	p := unpowered(New(r, 1))
	p.state.SpeedRadS = 0.3
	run(p, Command{Mode: Off, CloseBrake: true}, 100*time.Millisecond)
	require.Zero(t, p.State().SlipRad)
}

// The promise holds with a rise of two ticks and more, and a sliding torque far below the static
// one; at a tick of 250 µs against one of 2.5 µs. A rise within the tick is outside of it, as the
// package's documentation says: a load that has moved for 5 ms alone is caught in some ticks, and
// the kink at each end of the slip costs its share of them.
func TestAccuracyWithAShortRise(t *testing.T) {
	for rise, promised := range map[time.Duration]float64{time.Microsecond: 6e-3, 500 * time.Microsecond: 1e-3, 3 * time.Millisecond: 1e-3} {
		r := paneRig()
		r.Brake.RiseTime, r.Brake.ResponseDelay, r.Brake.SlidingNM = rise, 5*time.Millisecond, 5
		for _, d := range Accuracy(r) {
			require.Less(t, d.Relative(), promised, "%v: %s, %s", rise, d.Name, d.Manoeuvre)
		}
	}
}
