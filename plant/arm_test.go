package plant

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/plant/problem"
)

// armRig is an arm of 20 kg with its centre of mass half a metre from the pivot, behind
// a gear of ten to one, level where its travel is zero:
//
//	m g r/n = 20 kg · 10 m/s² · 0.5 m/10 = 10 N·m
//	J_load  = m r²/n² = 20 kg · 0.25 m²/100 = 0.05 kg·m², with the motor's 0.055
//	travel  = r/n = 50 mm a radian of the motor, 500 mm a radian of the arm
func armRig() Rig {
	r := bareRig()
	r.Rig = "arm"
	r.Load.MassKG, r.Load.ArmMM = 20, 500
	r.Transmission.FeedConstantMMPerTurn, r.Transmission.GearRatio = 0, 10
	r.Stops.LowMM, r.Stops.HighMM = arcMM(-80), arcMM(80)
	return r
}

const armMoment = 10.0 // N·m, of armRig when level

// arcMM is the arc of armRig's centre of mass for an angle in degrees.
func arcMM(degrees float64) float64 { return 500 * degrees * math.Pi / 180 }

// An arm weighs τ_g = −m g r cos φ/n at the motor, whichever of arm_angle_deg and travel
// brings it to φ. Source: statics. By hand: cos 30° = √3/2 = 0.8660254, cos 60° = ½;
// seven digits, which are the tolerance.
func TestArmWeighsByItsAngle(t *testing.T) {
	for _, c := range []struct{ degrees, torque float64 }{
		{0, -10}, {30, -8.660254}, {60, -5}, {90, 0}, {-30, -8.660254}, {-60, -5}, {-90, 0},
	} {
		for _, set := range []func(*Rig){
			func(r *Rig) { r.Load.ArmAngleDeg = c.degrees },
			func(r *Rig) { r.Load.StartMM = arcMM(c.degrees) },
			func(r *Rig) { r.Load.ArmAngleDeg, r.Load.StartMM = -90, arcMM(c.degrees+90) },
		} {
			r := armRig()
			set(&r)
			p := New(r, 1)
			require.InDelta(t, c.torque, p.State().LoadTorqueNM, 5e-7, "%g°", c.degrees)
			require.InDelta(t, math.Abs(c.torque), Derive(&r).StartLoadTorqueNM, 5e-7, "%g°", c.degrees)
			require.InDelta(t, -c.torque, p.State().MotorTorqueNM, 5e-7, "the drive carries it")
		}
	}
}

// The worst of the travel is where the arm comes nearest to level: the whole moment if
// it passes there, otherwise the end that is nearer. Source: the cosine falls on both
// sides of zero. cos 45° = 0.7071068, cos 30° as above; half a digit of the seventh.
func TestWorstOfTheTravel(t *testing.T) {
	for _, c := range []struct{ from, to, angle0, torque float64 }{
		{-30, 60, 0, 10},
		{-80, 20, 0, 10},
		{0, 45, 0, 10}, // the level is an end
		{-45, 0, 0, 10},
		{30, 60, 0, 8.660254},
		{-60, -30, 0, 8.660254},
		{45, 80, 0, 7.071068},
		{10, 60, 20, 8.660254}, // 30° to 80°: the travel counts from arm_angle_deg
		{-30, 10, 20, 10},      // −10° to 30°
	} {
		r := armRig()
		r.Load.ArmAngleDeg = c.angle0
		r.Stops.LowMM, r.Stops.HighMM = arcMM(c.from), arcMM(c.to)
		d := Derive(&r)
		require.InDelta(t, c.torque, d.LoadTorqueNM, 5e-7, "%+v", c)
		require.InDelta(t, 1.3*c.torque, d.RequiredTestNM, 1e-6, "%+v", c)
	}
}

// No place of the travel weighs more than the worst, and one of 1001 places weighs as
// much but for what the cosine loses over half a step s of the arm: s²/8 of the moment
// near level and s/2 elsewhere. Source: definition of a maximum; mean value theorem.
func TestWorstIsAMaximum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := weight{moment: armMoment, angle0: rapid.Float64Range(-math.Pi/2, math.Pi/2).Draw(t, "angle0"), perTurn: 0.1}
		low := rapid.Float64Range(-math.Pi/2, math.Pi/2).Draw(t, "low")
		high := rapid.Float64Range(low, math.Pi/2).Draw(t, "high")
		from, to := (low-w.angle0)/w.perTurn, (high-w.angle0)/w.perTurn
		worst, found := math.Abs(w.torque(w.worst(from, to))), 0.0
		for i := range 1001 {
			found = max(found, math.Abs(w.torque(from+(to-from)*float64(i)/1000)))
		}
		const rounding = 1e-12 * armMoment
		require.LessOrEqual(t, found, worst+rounding)
		require.GreaterOrEqual(t, found, worst-armMoment*(high-low)/2000-rounding)
	})
}

// What follows from an arm, by hand, for armRig between 20° and 80° with a gear of 80 %.
// Statics and the energy of a moving mass; cos 20° = 0.9396926:
//
//	worst      10 · 0.9396926 = 9.396926      J = 0.005 + 0.05
//	loss       9.396926 · (1/0.8 − 1) = 2.349232   lifting 11.746158   lowering 7.047695
//	test       1.3 · 9.396926 = 12.216004     down −2.819078   up 21.612930
//	fall       9.396926/0.055 · 0.05 m = 8.542660 m/s² along the arc
//	stops      2e7 N/m · (0.05 m)² = 50000 N·m/rad
func TestDerivedOfAnArm(t *testing.T) {
	r := armRig()
	r.Stops.LowMM, r.Stops.HighMM, r.Load.StartMM = arcMM(20), arcMM(80), arcMM(60)
	r.Transmission.Efficiency = 0.8
	d := Derive(&r)
	for _, c := range []struct {
		name      string
		want, got float64
	}{
		{"load torque", 9.396926, d.LoadTorqueNM},
		{"at the start", 5, d.StartLoadTorqueNM}, // cos 60°
		{"load inertia", 0.05, d.LoadInertiaKGM2},
		{"inertia", 0.055, d.InertiaKGM2},
		{"mm per rad", 50, d.MMPerRad},
		{"loss", 2.349232, d.TransmissionLossNM},
		{"lifting", 11.746158, d.LiftingTorqueNM},
		{"lowering", 7.047695, d.LoweringTorqueNM},
		{"required", 12.216004, d.RequiredTestNM},
		{"press down", -2.819078, d.PressDownNM},
		{"press up", 21.612930, d.PressUpNM},
		{"free fall", 8.542660, d.FreeFallMS2},
		{"stops", 50000, d.StopStiffness},
	} {
		require.InEpsilon(t, c.want, c.got, 5e-7, c.name) // seven digits
	}
	require.InEpsilon(t, d.RequiredTestNM, New(r, 1).RequiredTestNM(), 1e-12)
}

// 1 N·m more than the weight of a level arm lifts it with 1/0.055 rad/s² at first.
// Source: Newton-Euler. Over the first tick cos φ is 1 to 1e-12.
func TestArmAccelerates(t *testing.T) {
	p := New(armRig(), 1)
	p.state.CurrentRMSA, p.drive.commandRMSA = armMoment+1, armMoment+1
	p.advance(p.stepCurrent())
	require.InEpsilon(t, 1/0.055*250e-6, p.State().SpeedRadS, 1e-9) // rounding of 11 − 10
}

// The drive reports the angle of the arm and [Plant.ArmMM] says where that is, by the
// arc s = r φ. Source: definition of the radian. 40° above −10° is 500 · 40π/180 =
// 349.0659 mm (seven digits); the reading is good to half an increment of the motor.
func TestArmPosition(t *testing.T) {
	r := armRig()
	r.Load.ArmAngleDeg, r.Load.StartMM = -10, 349.0659
	p := New(r, 1)
	require.InDelta(t, 30, p.Sample().PositionDeg, 360.0/16384/10/2+1e-5)
	require.InDelta(t, 349.0659, p.ArmMM(30), 5e-5)
	require.InDelta(t, 0, p.ArmMM(-10), 1e-12)
	rapid.Check(t, func(t *rapid.T) {
		degrees := rapid.Float64Range(-90, 90).Draw(t, "degrees")
		require.InDelta(t, degrees, p.armDeg(p.ArmMM(degrees)/p.c.millimetres), 1e-12)
	})
}

// A straight axis does not point anywhere; an arm does so without weight too.
func TestPositionOfWhatIsNoArm(t *testing.T) {
	p := New(bareRig(), 1)
	run(p, Command{Mode: Move, TargetMM: 20}, 500*time.Millisecond)
	require.Zero(t, p.Sample().PositionDeg)
	require.Zero(t, p.ArmMM(30))

	r := armRig()
	r.Load.GravityMS2, r.Load.StartMM = 0, arcMM(30)
	p = New(r, 1)
	require.Zero(t, p.State().LoadTorqueNM)
	require.InDelta(t, 30, p.Sample().PositionDeg, 360.0/16384/10/2*(1+1e-9))
	require.InEpsilon(t, arcMM(30), p.ArmMM(30), 1e-12)
}

// An arm is defined by its length only, and it travels a turn at most to either side of the
// horizontal. Messages to the letter, as in [TestValidateRefuses].
func TestValidateRefusesArm(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*Rig)
		path   string
		want   string
	}{
		{"AboveATurn", func(r *Rig) { r.Stops.HighMM = arcMM(361) }, "stops.high_mm",
			"stops.high_mm corresponds to an arm angle of 361 degrees; must be between -360 and 360"},
		{"BelowATurn", func(r *Rig) { r.Stops.LowMM = arcMM(-362) }, "stops.low_mm",
			"stops.low_mm corresponds to an arm angle of -362 degrees; must be between -360 and 360"},
		{"AboveATurnByItsAngle", func(r *Rig) { r.Load.ArmAngleDeg, r.Stops.LowMM = 285, 0 }, "stops.high_mm",
			"stops.high_mm corresponds to an arm angle of 365 degrees; must be between -360 and 360"},
		{"TravelBesideArm", func(r *Rig) { r.Transmission.FeedConstantMMPerTurn = 10 }, "transmission.feed_constant_mm_per_turn",
			"transmission.feed_constant_mm_per_turn is 10 mm beside load.arm_mm; must be omitted for a swivelling axis"},
		{"CounterBesideArm", func(r *Rig) { r.Load.CounterbalanceKG = 5 }, "load.counterbalance_kg",
			"load.counterbalance_kg is 5 kg beside load.arm_mm; must be omitted: mass and centre of mass of an arm include its counterbalance, and load.inertia_kg_m2 its inertia"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := armRig()
			requireValid(t, &r)
			c.change(&r)
			_, err := Validate(&r)
			require.Equal(t, problem.List{{Path: c.path, Message: c.want}}, problem.Of(err))
		})
	}
}

// A turn to either side is allowed; both ends at once are reported at once.
func TestValidateArmAtItsEnds(t *testing.T) {
	r := armRig()
	r.Stops.LowMM, r.Stops.HighMM = arcMM(-360), arcMM(360)
	requireValid(t, &r)
	r.Stops.LowMM, r.Stops.HighMM = arcMM(-361), arcMM(361)
	_, err := Validate(&r)
	require.Len(t, problem.Of(err), 2)
}

// pendulum lets an arm without motor to speak of swing about its lowest place, from rest
// at a swing in rad. The motor's 1e-8 of 0.05 kg·m² or more make it slower by 1e-7.
func pendulum(gear, swing float64) *Plant {
	r := armRig()
	r.Transmission.GearRatio = gear
	r.Load.ArmAngleDeg, r.Motor.InertiaKGM2 = -90, 1e-8
	r.Stops.LowMM, r.Stops.HighMM = -1e5, 1e5
	r.Load.StartMM = 500 * swing
	return unpowered(New(r, 1))
}

// swingPeriod is the mean over ten periods, from one way down through the lowest place
// to another; between ticks on a straight line, which near the middle of a swing is off
// by less than its third derivative, (ω h)³.
func swingPeriod(t *testing.T, p *Plant) float64 {
	t.Helper()
	h := p.k.tick
	var crossed []float64
	const bound = 400_000 // eleven swings are 15 s, or 27 s from 2.5 rad, at 4000 ticks a second
	for n := 0; n < bound && len(crossed) < 11; n++ {
		before := p.state.AngleRad
		p.Step(Command{Mode: Off})
		if after := p.state.AngleRad; before > 0 && after <= 0 {
			crossed = append(crossed, (float64(n)+before/(before-after))*h)
		}
	}
	require.Len(t, crossed, 11, "no pendulum")
	return (crossed[10] - crossed[0]) / 10
}

// A pendulum whose mass sits r from its pivot swings in 2π√(r/g) when the swing is
// small, and in 2π√(r/g)/agm(1, cos(δ/2)) from any δ: 2π√(0.5/10) = 1.404963 s. Source:
// Abramowitz and Stegun, Handbook of Mathematical Functions, 17.6 (the complete elliptic
// integral by the arithmetic-geometric mean; from memory); any text on mechanics.
//
// The tick is a Verlet step (half a way, one kick, half a way), whose frequency for a
// linear spring is too high by (ω h)²/24: cos Ωh = 1 − (ω h)²/2. With ω h = √20 · 250e-6
// that is 5e-8; 1e-7 comes from the motor; together within 3e-7.
func TestArmSwingsAsAPendulum(t *testing.T) {
	for _, gear := range []float64{1, 10} {
		p := pendulum(gear, 1e-3) // δ²/16 = 6e-8
		require.InEpsilon(t, 1.404963, swingPeriod(t, p), 5e-7+3e-7)
		for _, swing := range []float64{0.3, 1, 2.5} {
			want := 2 * math.Pi * math.Sqrt(0.05) / agm(1, math.Cos(swing/2))
			require.InEpsilon(t, want, swingPeriod(t, pendulum(gear, swing)), 3e-7, "swing %g", swing)
		}
	}
}

// agm is the arithmetic-geometric mean; it doubles its digits each time.
func agm(a, b float64) float64 {
	for range 8 {
		a, b = (a+b)/2, math.Sqrt(a*b)
	}
	return a
}

// A small swing keeps its energy: never below that of the start, and above it by at most
// (ω h)²/4 of it, without end. Source: the Verlet step conserves ω²q² + q̇²(1 − (ω h)²/4)
// for a linear spring (by hand; Hairer, Lubich, Wanner, Geometric Numerical Integration,
// ch. I, from memory), so that energy is up by that share where the speed is greatest.
// (ω h)²/4 = 20 · 6.25e-8/4 = 3.1e-7; a swing of 1e-3 rad is linear to 1e-6 of the bound.
// Rounding of 1e-16 of a moment of 10 N·m against 5e-5 J of a gearless swing: 1e-10.
func TestSwingKeepsItsEnergy(t *testing.T) {
	p := pendulum(1, 1e-3)
	start, highest, lowest := swingEnergy(p), 0.0, math.Inf(1)
	for range 100 * 5620 { // a hundred periods
		p.Step(Command{Mode: Off})
		e := swingEnergy(p)
		highest, lowest = max(highest, e), min(lowest, e)
	}
	bound := 20 * 250e-6 * 250e-6 / 4
	require.LessOrEqual(t, highest/start-1, bound*(1+1e-6)+1e-9)
	require.GreaterOrEqual(t, lowest/start-1, -1e-9)
	require.Greater(t, highest/start-1, bound*0.99, "the bound is reached, or it bounds nothing")
}

// swingEnergy is motion and height above hanging, m g r (1 − cos δ) written for small δ.
func swingEnergy(p *Plant) float64 {
	half := math.Sin(p.state.AngleRad * p.k.weight.perTurn / 2)
	return p.k.inertia*p.state.SpeedRadS*p.state.SpeedRadS/2 + 2*p.k.weight.moment/p.k.weight.perTurn*half*half
}

// A rack on an incline of 30° with a counterbalance, by hand. A pinion of 60 mm, ten
// motor turns a turn: 60π mm a turn, so 0.06π/(2π · 10) = 0.003 m a radian of the motor.
//
//	τ_g = −(120 kg · ½ − 20 kg) · 9.80665 m/s² · 0.003 m = −40 · 0.02941995 = −1.176798 N·m
//	J   = 0.005 + (120 + 20) kg · (0.003 m)² = 0.005 + 0.00126 = 0.00626 kg·m²
//	a   = 1.176798/0.00626 · 0.003 m = 0.563961 m/s²
//
// Source: motion-sizing handbooks; statics. Six digits or more; the fall of 0.1 s is a
// parabola, which the midpoint rule meets to rounding: ½ · 0.563961 · 0.01 = 2.819804 mm.
func TestRackOnAnIncline(t *testing.T) {
	r := bareRig()
	r.Load.MassKG, r.Load.CounterbalanceKG, r.Load.InclineDeg, r.Load.GravityMS2 = 120, 20, 30, StandardGravity
	r.Transmission.FeedConstantMMPerTurn, r.Transmission.GearRatio = 60*math.Pi, 10
	d := Derive(&r)
	require.InEpsilon(t, 1.176798, d.LoadTorqueNM, 1e-9)
	require.InEpsilon(t, 0.00626, d.InertiaKGM2, 1e-9)
	require.InEpsilon(t, 0.563961, d.FreeFallMS2, 1e-6)
	p := unpowered(New(r, 1))
	require.InEpsilon(t, -1.176798, p.State().LoadTorqueNM, 1e-9)
	run(p, Command{Mode: Off}, 100*time.Millisecond)
	require.InEpsilon(t, -2.819804, p.LoadMM(), 1e-6)
}
