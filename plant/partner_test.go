package plant

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// pairRig is bareRig, 0.01 kg·m², with a partner of twice that on a coupling of 500
// N·m/rad without damping or gap. Nothing else acts on the partner but its brake of 20
// N·m.
func pairRig() Rig {
	r := bareRig()
	r.Partner.InertiaKGM2, r.Partner.CouplingStiffness, r.Partner.CouplingDampingRatio = pairInertia, pairStiffness, 0
	r.Partner.Brake.StaticNM, r.Partner.Brake.SlidingNM = 20, 20
	return r
}

const (
	pairInertia   = 0.02  // kg·m²
	pairStiffness = 500.0 // N·m/rad
)

// weightless takes the load's weight off a rig.
func weightless(r Rig) Rig {
	r.Load.GravityMS2 = 0
	return r
}

// twist is how far the axis is ahead of its partner, in rad.
func twist(p *Plant) float64 {
	return p.state.AngleRad - p.partner.state.AngleRad - p.partner.offset
}

// ringing starts the axis at 1 rad/s against a partner at rest and returns frequency in
// rad/s and the logarithmic decrement a radian over ten full swings of the twist: it is
// zero at the start, and between ticks it is taken on a straight line.
func ringing(t *testing.T, r Rig) (frequency, decrement float64) {
	t.Helper()
	p := unpowered(New(weightless(r), 1))
	p.state.SpeedRadS = 1
	var at, speed []float64
	const bound = 50_000 // ten swings are 0.23 s, or 23000 of the finest ticks
	for n := 0; n < bound && len(at) < 20; n++ {
		before, v := twist(p), p.state.SpeedRadS-p.partner.state.SpeedRadS
		p.Step(Command{Mode: Off})
		if after := twist(p); n > 0 && before*after <= 0 {
			share := before / (before - after)
			at = append(at, (float64(n)+share)*p.k.tick)
			w := p.state.SpeedRadS - p.partner.state.SpeedRadS
			speed = append(speed, math.Abs(v+share*(w-v)))
		}
	}
	require.Len(t, at, 20, "it does not ring")
	angle := 20 * math.Pi
	return angle / at[19], -math.Log(speed[19]) / angle
}

// Two masses on a spring ring with ω₀ = √(k (1/J₁ + 1/J₂)), damped with ω₀√(1 − ζ²), and
// fade by e^(−ζ/√(1−ζ²)) a radian. Source: any text on mechanical vibration (free
// vibration of a two-mass system). Here √(500 · (100 + 50)) = 273.8613 rad/s.
//
// The rule of the tick is the trapezoid one for a spring with a damper of at least k h/2,
// as the implicit spring damps by itself: ζ is the larger of the ratio asked for and
// k h/2 over 2√(k J), which is ω₀h/4 (0.0171 at 250 µs, 0.0007 at 10 µs). The trapezoid
// rule maps a pole s to (2/h) atanh(s h/2), so that the frequency is low by (ω₀h)²/12 and
// little more: 3.9e-4 and 6.2e-7. Damping moves that, and the decrement, by ζ times as much
// again. A zero on a straight line and the speed there are off by (ω₀h)²/8 of a tick's
// change at most, which is (ω₀h)³/8 of a radian in 63: 7e-7, and 6e-7 in ten digits' worth
// of rounding for the fine tick: 1e-6.
func TestCouplingRings(t *testing.T) {
	for _, tick := range []time.Duration{250 * time.Microsecond, 10 * time.Microsecond} {
		for _, ratio := range []float64{0, 0.05, 0.2} {
			r := pairRig()
			r.Clock.Tick, r.Partner.CouplingDampingRatio = tick, ratio
			x := 273.8613 * tick.Seconds()
			zeta := max(ratio, x/4)
			root := math.Sqrt(1 - zeta*zeta)
			frequency, decrement := ringing(t, r)
			require.InEpsilon(t, 273.8613*root, frequency, x*x/12*(1+4*zeta)+1e-6, "%v, %g", tick, ratio)
			require.InDelta(t, zeta/root, decrement, zeta*x*x/4+x*x*x/8+1e-6, "%v, %g", tick, ratio)
		}
	}
}

// drawPair draws a pair of shafts with a coupling of any stiffness, with or without a
// gap, in motion.
func drawPair(t *rapid.T) *Plant {
	r := weightless(pairRig())
	r.Clock.Tick = time.Duration(rapid.IntRange(20, 1000).Draw(t, "tick")) * time.Microsecond
	r.Motor.InertiaKGM2 = logRange(1e-5, 1).Draw(t, "J1")
	r.Load.MassKG = 1e-3
	r.Partner.InertiaKGM2 = logRange(1e-5, 1).Draw(t, "J2")
	r.Partner.CouplingStiffness = logRange(1, 1e6).Draw(t, "stiffness")
	r.Partner.CouplingDampingRatio = rapid.Float64Range(0, 3).Draw(t, "damping")
	if rapid.Bool().Draw(t, "with gap") {
		r.Partner.BacklashDeg = logRange(1e-2, 90).Draw(t, "gap")
	}
	p := unpowered(New(r, 1))
	p.state.SpeedRadS = rapid.Float64Range(-200, 200).Draw(t, "w1")
	p.partner.state.SpeedRadS = rapid.Float64Range(-200, 200).Draw(t, "w2")
	return p
}

// Without torque from outside the pair keeps its momentum, J₁ω₁ + J₂ω₂: what one gives
// the other takes. Source: Newton's third law. Rounding: a few ε of each momentum a
// tick, as Newton's last step on a straight piece leaves no more.
func TestPairKeepsItsMomentum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPair(t)
		a, b := &p.state, &p.partner.state
		j1, j2 := p.k.inertia, p.partner.k.inertia
		start := j1*a.SpeedRadS + j2*b.SpeedRadS
		const ticks = 500
		size := j1*math.Abs(a.SpeedRadS) + j2*math.Abs(b.SpeedRadS)
		for range ticks {
			p.Step(Command{Mode: Off})
			size = max(size, j1*math.Abs(a.SpeedRadS)+j2*math.Abs(b.SpeedRadS))
		}
		require.InDelta(t, start, j1*a.SpeedRadS+j2*b.SpeedRadS, ticks*4*epsilon*size)
	})
}

// epsilon is the spacing of float64 at 1.
const epsilon = 0x1p-52

// pairEnergy is motion and the spring of the coupling, ½J₁ω₁² + ½J₂ω₂² + ½k dz².
func pairEnergy(p *Plant) float64 {
	deflection := 0.0
	if p.partner.engaged {
		deflection = max(0, math.Abs(twist(p))-p.partner.coupling.halfPlay)
	}
	a, b := p.state.SpeedRadS, p.partner.state.SpeedRadS
	return (p.k.inertia*a*a + p.partner.k.inertia*b*b + p.partner.coupling.stiffness*deflection*deflection) / 2
}

// A coupling gives no energy that it did not store, and its damper works in contact
// alone. Source: passivity of a spring, a damper and a one-sided contact. With a gap it
// never pulls: the torque has the sign of the twist at the end of the tick, and is none
// inside the gap.
//
// Rounding: 1e-12 of energies, and the spring's as a difference of angles, k ε θ times its
// deflection. The solver's torque T is good to 1e-9 of itself and 1e-9 N·m; what the coupling
// would give at the speeds that come of T differs from it by 1 + slope · mobility times
// that, over the way of a tick.
func TestCouplingIsPassive(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPair(t)
		s, half := &p.state, p.partner.coupling.halfPlay
		for range 300 {
			energy := pairEnergy(p)
			before := twist(p)
			p.Step(Command{Mode: Off})
			after := twist(p)
			way := math.Abs(after - before)
			angles := math.Abs(s.AngleRad) + math.Abs(p.partner.state.AngleRad)
			spring := p.partner.coupling.stiffness * epsilon * angles * (math.Abs(before) + way)
			solver := 1e-9 * (1 + math.Abs(s.CouplingNM)) * way * p.partner.feedback(p)
			require.LessOrEqual(t, pairEnergy(p), energy*(1+1e-12)+4*spring+solver)
			require.InDelta(t, s.CouplingNM, p.partner.state.CouplingNM, 0)
			if half == 0 {
				continue
			}
			require.GreaterOrEqual(t, s.CouplingNM*math.Copysign(1, after), -1e-9)
			if rounding := 4 * epsilon * angles; math.Abs(after) < half-rounding {
				require.InDelta(t, 0, s.CouplingNM, 1e-9)
			}
		}
	})
}

// feedback is how much more the coupling's torque is off than T: 1 + slope (w₁' + w₂'),
// with w' the speed that each shaft gains by a torque.
func (q *partner) feedback(p *Plant) float64 {
	slope := q.coupling.stiffness*p.k.tick + q.coupling.damping
	return 1 + slope*(p.mobility+q.mobility)
}

// Inside the gap the shafts move independently, each at its own speed to the bit, whatever
// the damping; the axis then pushes its partner on. A gap of 60° is 30° or π/6 rad to
// either side of the middle: at 2 rad/s against rest the axis is through it after 0.2618
// s, in tick 1048 (1047 end at 0.26175). Source: definition of a dead zone.
func TestGapIsFree(t *testing.T) {
	r := pairRig()
	r.Partner.BacklashDeg, r.Partner.CouplingDampingRatio = 60, 5
	for _, speed := range []float64{2, -2} {
		p := unpowered(New(weightless(r), 1))
		p.state.SpeedRadS = speed
		for n := 1; n <= 1047; n++ {
			p.Step(Command{Mode: Off})
			require.Zero(t, p.State().CouplingNM)
			require.Zero(t, p.PartnerState().SpeedRadS)
			require.Zero(t, p.State().SpeedRadS-speed)
		}
		p.Step(Command{Mode: Off})
		require.Positive(t, p.State().CouplingNM*speed)
		require.Positive(t, p.PartnerState().SpeedRadS*speed)
	}
}

// heldByThePartner is a load of 5 N·m on a brake that has 2 N·m left, beside a partner
// whose brake is sound. Both are closed; the drive gives the load over to them within ten
// seconds and goes off.
func heldByThePartner(change func(*Rig)) *Plant {
	r := pairRig()
	r.Brake.Condition, r.Partner.CouplingDampingRatio = 0.1, 0.3
	change(&r)
	p := New(r, 1)
	run(p, Command{Mode: Press, PressRateNMS: 0.5, CloseBrake: true}, 10*time.Second)
	run(p, Command{Mode: Off, CloseBrake: true}, time.Second)
	return p
}

// The partner's brake contributes: a brake of 2 N·m carries 2 N·m of a load of 5, and the
// coupling the other 3, by a twist of 3/500 = 6 mrad and the deflection of the partner's brake,
// 3 N·m over 20 N·m/0.1°. Source: torque balance of each shaft at rest; Hooke. It slips to
// there at 0.5 N·m/s over 500 N·m/rad, 1e-3 rad/s, and coming to rest from that speed
// gives the coupling up to 1e-3 · √(500 · 0.01) = 2.2e-3 N·m more than its share.
// Decoupled, it slips with (5 − 2)/0.01 = 300 rad/s². Balances to what is left of the
// ringing after a second: 1e-6 N·m; rounding of a difference of speeds, 1e-9.
func TestPartnerHoldsTheLoad(t *testing.T) {
	p := heldByThePartner(func(*Rig) {})
	a, b := p.State(), p.PartnerState()
	require.InDelta(t, 0, a.SpeedRadS, 1e-6)
	require.InDelta(t, -3, a.CouplingNM, 2.2e-3)
	require.InDelta(t, 5, a.BrakeTorqueNM-a.CouplingNM, 1e-6)
	require.InDelta(t, -a.CouplingNM, b.BrakeTorqueNM, 1e-6)
	require.InDelta(t, a.CouplingNM*(1.0/500+0.1*math.Pi/180/20), a.AngleRad, 1e-8) // 1e-6 N·m of 500 N·m/rad
	require.Zero(t, b.SlipRad)

	decoupled := Command{Mode: Off, CloseBrake: true, Decouple: true}
	run(p, decoupled, 300*time.Millisecond)
	speed := a.SpeedRadS
	run(p, decoupled, 50*time.Millisecond)
	require.InDelta(t, -300*0.05, a.SpeedRadS-speed, 1e-9)
	require.Zero(t, a.CouplingNM)
	require.InDelta(t, 0, b.SpeedRadS, 1e-6)
	require.Less(t, a.AngleRad, -1.0)
}

// A partner whose brake is as weak does not hold it: 2 + 2 N·m of 5 slip, with 1 N·m on
// 0.01 + 0.02 kg·m² once they run together. The ringing of the coupling has a mean of
// zero and has died away: 1e-6.
func TestTwoWeakBrakesSlip(t *testing.T) {
	p := heldByThePartner(func(r *Rig) { r.Partner.Brake.Condition = 0.1 })
	speed := p.State().SpeedRadS
	run(p, Command{Mode: Off, CloseBrake: true}, 100*time.Millisecond)
	require.InDelta(t, -1/0.03*0.1, p.State().SpeedRadS-speed, 1e-6)
	require.InDelta(t, p.State().SpeedRadS, p.PartnerState().SpeedRadS, 1e-6)
}

// The coupling opens decouple_time after the command, as its switch reports, and closes as
// late: 200 ms are 800 ticks. A command taken back before leaves it closed. Source: the
// meaning of the field.
func TestDecoupleTime(t *testing.T) {
	p := heldByThePartner(func(r *Rig) { r.Partner.DecoupleTime = 200 * time.Millisecond })
	p.Rig().Brake.Condition = 1 // now it holds on its own
	p.Reload()
	apart, together := Command{Mode: Off, CloseBrake: true, Decouple: true}, Command{Mode: Off, CloseBrake: true}
	run(p, apart, 100*time.Millisecond)
	run(p, together, time.Second)
	require.True(t, p.Sample().Coupled)
	for n := 1; n <= 1600; n++ {
		p.Step(apart)
		require.Equal(t, n < 800, p.Sample().Coupled, "tick %d", n)
		require.Equal(t, n < 800, p.State().CouplingNM != 0, "tick %d", n)
	}
	for n := 1; n <= 1600; n++ {
		p.Step(together)
		require.Equal(t, n >= 800, p.Sample().Coupled, "tick %d", n)
	}
}

// It closes where it stands (a clutch without marks): no torque from the place that the
// axis had gone to, and from there on it carries as before.
func TestCouplesWhereItStands(t *testing.T) {
	r := pairRig()
	r.Partner.DecoupleTime, r.Drive.SwitchOnTime = 0, 0
	p := New(r, 1)
	run(p, Command{Mode: Move, TargetMM: 30, Decouple: true}, time.Second)
	run(p, Command{Mode: Hold, CloseBrake: true, Decouple: true}, 500*time.Millisecond)
	require.InDelta(t, 0, p.PartnerState().AngleRad, 1e-12)
	run(p, Command{Mode: Hold, CloseBrake: true}, 500*time.Millisecond)
	require.InDelta(t, 30, p.LoadMM(), 0.01)
	require.InDelta(t, 0, p.State().CouplingNM, 0.01) // 500 N·m/rad by the deflection of an increment
	require.InDelta(t, 0, p.PartnerState().AngleRad, 1e-4)
}

// A coupling that is stuck does not open, and its switch reports it; one with a faulty switch
// reports decoupled and stays coupled. Source: the meaning of the fields.
func TestCouplingFaults(t *testing.T) {
	for _, c := range []struct {
		name    string
		change  func(*Partner)
		coupled bool
	}{
		{"stays coupled", func(p *Partner) { p.StaysCoupled = true }, true},
		{"reports decoupled", func(p *Partner) { p.StaysCoupled, p.ReportsDecoupled = true, true }, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := heldByThePartner(func(r *Rig) { c.change(&r.Partner) })
			seen := run(p, Command{Mode: Off, CloseBrake: true, Decouple: true}, time.Second)
			require.Equal(t, c.coupled, seen.Coupled)
			require.InDelta(t, -3, p.State().CouplingNM, 2.2e-3) // as in [TestPartnerHoldsTheLoad]
			require.InDelta(t, 0, p.State().SpeedRadS, 1e-6)
		})
	}
	require.False(t, New(bareRig(), 1).Sample().Coupled) // without a partner
	require.True(t, New(pairRig(), 1).Sample().Coupled)
}

// The partner's drive holds its shaft up to its limit. Of 3 N·m, an axis that presses
// with 2 is held, with its coupling twisted by 2/500 rad; one that presses with 5 is not,
// and both go with (5 − 3)/0.03 rad/s². Without the drive nothing holds: 2/0.03. Source:
// torque balance; Newton-Euler for both as one. It holds where it was when commanded, which
// is 100 mm up or 10 rad. After 2 s coupling and current have come to rest: 1e-6.
func TestPartnerDriveHolds(t *testing.T) {
	for _, c := range []struct {
		press float64
		holds bool
		a     float64
	}{{2, true, 0}, {-2, true, 0}, {5, true, 2 / 0.03}, {-5, true, -2 / 0.03}, {2, false, 2 / 0.03}} {
		r := weightless(pairRig())
		r.Partner.DriveHolds, r.Partner.DriveLimitNM, r.Partner.CouplingDampingRatio = c.holds, 3, 0.3
		r.Load.StartMM = 100
		p := New(r, 1)
		push := Command{Mode: Press, PressTorqueNM: c.press}
		run(p, push, 2*time.Second)
		before := *p.State()
		run(p, push, 100*time.Millisecond)
		require.InDelta(t, c.a*0.1, p.State().SpeedRadS-before.SpeedRadS, 1e-6, "%+v", c)
		if c.a == 0 {
			require.InDelta(t, c.press, p.State().CouplingNM, 1e-6)
			require.InDelta(t, c.press/500, twist(p), 1e-6)
		}
	}
}

// An open partner on a closed coupling is inertia: the axis accelerates with τ/(J₁ + J₂),
// and the coupling carries the partner's share τ J₂/(J₁ + J₂), two thirds here. Source:
// Newton-Euler for both as one, and for the partner. A gap comes to its end and stays
// there. The ringing has died away: 1e-9.
func TestOpenPartnerIsInertia(t *testing.T) {
	for _, gap := range []float64{0, 2} {
		r := weightless(pairRig())
		r.Partner.CouplingDampingRatio, r.Partner.BacklashDeg = 0.5, gap
		p := New(r, 1)
		push := Command{Mode: Press, PressTorqueNM: 0.3}
		run(p, push, time.Second)
		speed := p.State().SpeedRadS
		run(p, push, 100*time.Millisecond)
		require.InDelta(t, 0.3/0.03*0.1, p.State().SpeedRadS-speed, 1e-9)
		require.InDelta(t, 0.2, p.State().CouplingNM, 1e-9)
		require.InDelta(t, p.State().SpeedRadS, p.PartnerState().SpeedRadS, 1e-9)
		require.InDelta(t, 0.2/500+gap/2*math.Pi/180, twist(p), 1e-9)
	}
}

// The brake of the partner is a brake: a fault set in mid-run takes effect, it slips by
// its own capacity and wears by its own work.
func TestPartnerBrakeHasItsOwnFrictionDisc(t *testing.T) {
	p := heldByThePartner(func(r *Rig) { r.Partner.Brake.WearMMPerMJ = 100 })
	p.Rig().Partner.Brake.Glaze, p.Rig().Partner.Brake.GapMM = 0.5, 0.6
	p.Reload()
	b := p.PartnerState()
	require.InDelta(t, 0.8*0.5, b.BrakeFactor, 1e-12)
	require.InDelta(t, 1, p.State().BrakeFactor/0.1, 1e-12)
	require.Zero(t, b.SlipWorkJ)
	p.Rig().Partner.Brake.Condition = 0.2 // 20 · 0.2 · 0.4 = 1.6 of the 3 N·m that it carries
	p.Reload()
	run(p, Command{Mode: Off, CloseBrake: true}, 200*time.Millisecond)
	require.Positive(t, b.SlipWorkJ)
	require.InDelta(t, 100e-6*b.SlipWorkJ, b.BrakeGapMM-0.6, 1e-12)
	require.Greater(t, b.BrakeTempC, 20.0)
}

// A severed axis and its partner go on as motor and partner alone: their momentum is
// kept with the motor's own inertia, 0.005 kg·m². Rounding as above.
func TestSeveredPairKeepsItsMomentum(t *testing.T) {
	r := pairRig()
	r.Load.StartSpeedMMS = -200
	p := unpowered(New(r, 1))
	sever(p)
	want := -20 * (0.005 + pairInertia)
	p.state.SpeedRadS += 10
	want += 10 * 0.005
	run(p, Command{Mode: Off}, 100*time.Millisecond)
	require.InDelta(t, want, 0.005*p.State().SpeedRadS+pairInertia*p.PartnerState().SpeedRadS, 1e-12)
	require.InDelta(t, -20-50, p.LoadMM(), 1e-9) // v t + ½ g t²
}

// A clone has a partner of its own.
func TestCloneOfAPair(t *testing.T) {
	p := heldByThePartner(func(*Rig) {})
	c := p.Clone()
	before := *p.PartnerState()
	run(c, Command{Mode: Off}, 100*time.Millisecond)
	require.NotEqual(t, before, *c.PartnerState())
	require.Equal(t, before, *p.PartnerState())
	same := p.Clone()
	run(p, Command{Mode: Off}, 100*time.Millisecond)
	run(same, Command{Mode: Off}, 100*time.Millisecond)
	require.Equal(t, *p.State(), *same.State())
	require.Equal(t, *p.PartnerState(), *same.PartnerState())
}

// Without a partner it does not matter what the rig says of one, to the bit.
func TestNoPartnerIsNoPartner(t *testing.T) {
	r := bareRig()
	other := r
	other.Partner = pairRig().Partner
	other.Partner.InertiaKGM2 = 0
	other.Partner.StaysCoupled, other.Partner.DriveHolds, other.Partner.BacklashDeg = true, true, 3
	p, q := New(r, 1), New(other, 1)
	require.Nil(t, q.PartnerState())
	for _, c := range []Command{{Mode: Move, TargetMM: 20}, {Mode: Hold, CloseBrake: true, Decouple: true}, {Mode: Off}} {
		for range 400 {
			require.Equal(t, p.Sample(), q.Sample())
			p.Step(c)
			q.Step(c)
			require.Equal(t, *p.State(), *q.State())
		}
	}
}

// drawAnyPair draws what a valid rig may be, from the softest coupling to the stiffest and
// from the lightest shafts to heavy ones, with brakes closed or open.
func drawAnyPair(t *rapid.T) (*Plant, Command) {
	r := pairRig()
	r.Clock.Tick = time.Duration(rapid.IntRange(20, 1000).Draw(t, "tick")) * time.Microsecond
	r.Load.MassKG = logRange(1e-3, 1000).Draw(t, "mass")
	r.Motor.InertiaKGM2 = logRange(1e-6, 10).Draw(t, "J1")
	r.Partner.InertiaKGM2 = logRange(1e-6, 10).Draw(t, "J2")
	r.Partner.CouplingStiffness = logRange(1e-3, 1e9).Draw(t, "stiffness")
	r.Partner.CouplingDampingRatio = rapid.Float64Range(0, 5).Draw(t, "damping")
	r.Partner.BacklashDeg = rapid.SampledFrom([]float64{0, 0.01, 1, 90}).Draw(t, "gap")
	r.Partner.DriveHolds = rapid.Bool().Draw(t, "holds")
	r.Partner.DriveLimitNM = logRange(1e-3, 100).Draw(t, "limit")
	for _, b := range []*Brake{&r.Brake, &r.Partner.Brake} {
		b.StaticNM = logRange(0.1, 500).Draw(t, "static")
		b.SlidingNM = b.StaticNM * rapid.Float64Range(0.5, 1).Draw(t, "sliding")
		b.PlayDeg = rapid.SampledFrom([]float64{0, 0.05}).Draw(t, "play")
	}
	r.Partner.Guide.SlidingNM = rapid.SampledFrom([]float64{0, 0.3}).Draw(t, "guide")
	p := New(r, 1)
	p.state.SpeedRadS = rapid.Float64Range(-100, 100).Draw(t, "w1")
	p.partner.state.SpeedRadS = rapid.Float64Range(-100, 100).Draw(t, "w2")
	return p, Command{
		Mode: Mode(rapid.IntRange(0, 3).Draw(t, "mode")), PressTorqueNM: rapid.Float64Range(-50, 50).Draw(t, "press"),
		CloseBrake: rapid.Bool().Draw(t, "close"),
	}
}

// Whatever the coupling, a tick solves the equations of both shafts and the coupling's,
//
//	T = τ_c(w₁ − w₂),  2J (w − ω)/h = τ + τ_g + τ_f + τ_b + τ_stop − b w ∓ T
//
// with the torques that the states show, and nothing runs away. Source: the definition of
// an implicit step,.
//
// Tolerances: a shaft's 2e-12 of its speed (at least 1e-12 rad/s) in its slopes; T as in
// [TestCouplingIsPassive]; and in w₁ − w₂, which is known from speeds of the tick's ends,
// rounding of 4ε of each and the shafts' own 1e-12, in the coupling's slope.
func TestPairSolvesTheTick(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, c := drawAnyPair(t)
		q := p.partner
		for range 40 {
			a, b, before := p.state, q.state, twist(p)
			p.Sample()
			p.Step(c)
			requireFinite(t, p.state)
			requireFinite(t, q.state)
			w1, w2 := (a.SpeedRadS+p.state.SpeedRadS)/2, (b.SpeedRadS+q.state.SpeedRadS)/2
			requireShaft(t, &p.shaft, &a, p.state.MotorTorqueNM-p.state.CouplingNM)
			requireShaft(t, &q.shaft, &b, q.driveAt(&b)+q.state.CouplingNM)
			wanted, _ := q.coupling.elastic(before, w1-w2, p.k.tick)
			speeds := 1e-12 + 1e-12*(math.Abs(w1)+math.Abs(w2)) + 4*epsilon*(math.Abs(a.SpeedRadS)+math.Abs(p.state.SpeedRadS)+math.Abs(b.SpeedRadS)+math.Abs(q.state.SpeedRadS))
			torque := 1e-9 * (1 + math.Abs(p.state.CouplingNM)) * q.feedback(p)
			require.InDelta(t, wanted, p.state.CouplingNM, torque+(q.coupling.stiffness*p.k.tick+q.coupling.damping)*speeds)
		}
	})
}

// driveAt is what the drive gave at the start of a tick, in N·m.
func (q *partner) driveAt(s *State) float64 {
	if !q.hold.on {
		return 0
	}
	return clamp(q.hold.stiffness*(q.hold.at-s.AngleRad)-q.hold.damping*s.SpeedRadS, q.hold.limit)
}

// requireShaft holds a shaft to its equation over the last tick, under a torque from
// outside in N·m.
func requireShaft(t *rapid.T, s *shaft, before *State, torque float64) {
	k, st := &s.k, &s.state
	w := (before.SpeedRadS + st.SpeedRadS) / 2
	sum := torque + st.LoadTorqueNM + st.BrakeTorqueNM + st.GuideTorqueNM + st.StopTorqueNM + st.SupportTorqueNM - k.viscous*w
	size := math.Abs(torque) + math.Abs(st.LoadTorqueNM) + math.Abs(st.BrakeTorqueNM) + math.Abs(st.GuideTorqueNM)
	slope := k.perTick + k.tick*(k.guide.stiffness+s.brake.friction.stiffness) + k.guide.damping + s.brake.friction.damping
	tolerance := slope*(2e-12*(1+math.Abs(w))+4*epsilon*(math.Abs(before.SpeedRadS)+math.Abs(st.SpeedRadS))) + 1e-12*size
	require.InDelta(t, sum, k.perTick*(w-before.SpeedRadS), tolerance)
}
