package plant

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/plant/problem"
)

// The payload weighs and moves with the axis. Bare numbers: 0.01 m a radian and g = 10 m/s²,
// so that a kilogram is 0.1 N·m and 1e-4 kg·m². Source: statics, by hand.
func TestPayloadWeighs(t *testing.T) {
	r := bareRig()
	r.Load.PayloadKG = 30
	d := Derive(&r)
	require.InEpsilon(t, 8, d.LoadTorqueNM, 1e-12, "(50 + 30) kg · 0.1 N·m")
	require.InEpsilon(t, 0.013, d.InertiaKGM2, 1e-12, "0.005 + 80 · 1e-4")
	require.InEpsilon(t, -8, New(r, 1).State().LoadTorqueNM, 1e-12)
	r.Load.ArmMM, r.Transmission.FeedConstantMMPerTurn, r.Transmission.GearRatio = 500, 0, 10
	d = Derive(&r)
	require.InEpsilon(t, 40, d.LoadTorqueNM, 1e-12, "80 kg · 10 m/s² · 0.5 m/10")
	require.InEpsilon(t, 0.205, d.InertiaKGM2, 1e-12, "0.005 + 80 · 0.25/100")
}

// The brake is tested for the most that it must ever hold, whatever is on the axis today: a
// hoist that is tested empty still carries the full load tomorrow (common practice). Without a
// most payload it is the present one.
func TestRequiredTorqueFollowsTheMostPayload(t *testing.T) {
	for _, c := range []struct {
		name                   string
		payload, least, most   float64
		counterKG, counterN    float64
		present, worst, presUp float64
	}{
		{name: "NoPayload", present: 5, worst: 5, presUp: 6.5 + 5},
		{name: "PresentOnly", payload: 30, present: 8, worst: 8, presUp: 10.4 + 8},
		{name: "EmptyToday", most: 30, present: 5, worst: 8, presUp: 10.4 + 5},
		{name: "HalfToday", payload: 15, most: 30, present: 6.5, worst: 8, presUp: 10.4 + 6.5},
		// 70 kg against 50 to 60: the empty axis rises with 2 N·m, the full one with 1
		{name: "CounterbalanceOutweighs", payload: 10, most: 10, counterKG: 70, present: 1, worst: 2, presUp: 2.6 - 1},
		{name: "ForceOutweighs", payload: 10, most: 10, counterN: 700, present: 1, worst: 2, presUp: 2.6 - 1},
		{name: "LeastIsNotEmpty", payload: 10, least: 8, most: 10, counterKG: 70, present: 1, worst: 1.2, presUp: 1.56 - 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := bareRig()
			r.Load.PayloadKG, r.Load.PayloadLeastKG, r.Load.PayloadMostKG = c.payload, c.least, c.most
			r.Load.CounterbalanceKG, r.Load.CounterbalanceN = c.counterKG, c.counterN
			d := Derive(&r)
			require.InEpsilon(t, c.present, d.LoadTorqueNM, 1e-12)
			require.InEpsilon(t, c.worst, d.WorstLoadTorqueNM, 1e-12)
			require.InEpsilon(t, 1.3*c.worst, d.RequiredTestNM, 1e-12)
			require.InEpsilon(t, 1.3*c.worst, New(r, 1).RequiredTestNM(), 1e-12)
			require.InEpsilon(t, c.presUp, d.PressUpNM, 1e-12)
		})
	}
}

// Both presses load the brake with the test torque, also where the load rises by itself. Source:
// torque balance of the shaft at rest, brake load = |τ_m + τ_g|.
func TestPressesLoadTheBrakeWithTheTestTorque(t *testing.T) {
	for _, counter := range []float64{0, 20, 80} {
		r := bareRig()
		r.Load.PayloadMostKG, r.Load.CounterbalanceKG = 30, counter
		d := Derive(&r)
		gravity := New(r, 1).State().LoadTorqueNM
		require.InEpsilon(t, -d.RequiredTestNM, d.PressDownNM+gravity, 1e-12)
		require.InEpsilon(t, d.RequiredTestNM, d.PressUpNM+gravity, 1e-12)
	}
}

// A payload that falls off changes weight and inertia at once and the required torque not at all;
// one above the most raises it.
func TestPayloadChangesInARun(t *testing.T) {
	r := bareRig()
	r.Load.PayloadKG, r.Load.PayloadMostKG = 30, 30
	p := unpowered(New(r, 1))
	p.Rig().Load.PayloadKG = 0
	p.Reload()
	run(p, Command{Mode: Off}, 100*time.Millisecond)
	require.InEpsilon(t, -5.0/bareInertia*0.1, p.State().SpeedRadS, 1e-9, "a = τ_L/J of the empty axis")
	require.InEpsilon(t, 1.3*8, p.RequiredTestNM(), 1e-12)
	p.Rig().Load.PayloadKG = 50
	p.Reload()
	require.InEpsilon(t, 1.3*10, p.RequiredTestNM(), 1e-12)
}

// A counterbalance by force carries and adds no inertia; one by mass doubles it. Half of the
// weight of 50 kg carried by 250 N: a = 2.5 N·m/0.01 kg·m² · 0.01 m = 2.5 m/s²; by 25 kg:
// 2.5/0.0125 · 0.01 = 2 m/s². Source: Newton's second law, by hand.
func TestForceHasNoInertia(t *testing.T) {
	byForce, byMass := bareRig(), bareRig()
	byForce.Load.CounterbalanceN, byMass.Load.CounterbalanceKG = 250, 25
	require.InEpsilon(t, 2.5, Derive(&byForce).FreeFallMS2, 1e-12)
	require.InEpsilon(t, 2.0, Derive(&byMass).FreeFallMS2, 1e-12)
	for rig, a := range map[*Rig]float64{&byForce: 2.5, &byMass: 2} {
		p := unpowered(New(*rig, 1))
		run(p, Command{Mode: Off}, 100*time.Millisecond)
		require.InEpsilon(t, -1000*a*0.1*0.1/2, p.LoadMM(), 1e-9)
	}
}

// A gas spring of 500 N at 0 mm that loses 1 N a millimetre carries 600 N at −100 mm and 400 N at
// 100 mm, of a weight of 500 N. Source: its linear characteristic, by hand.
func TestForceFollowsTheTravel(t *testing.T) {
	r := bareRig()
	r.Load.CounterbalanceN, r.Load.CounterbalanceNPerMM = 500, -1
	r.Stops.LowMM, r.Stops.HighMM = -100, 200
	for _, c := range []struct{ mm, torque float64 }{{-100, 1}, {0, 0}, {100, -1}, {200, -2}} {
		require.InDelta(t, c.torque, LoadTorque(&r, c.mm), 1e-12)
		moved := r
		moved.Load.CounterbalanceAtMM, moved.Load.CounterbalanceN = 50, 450
		require.InDelta(t, c.torque, LoadTorque(&moved, c.mm), 1e-12, "the same line from another point of it")
	}
	require.InEpsilon(t, 2, Derive(&r).LoadTorqueNM, 1e-12)
	require.InEpsilon(t, 200, WorstPosition(&r, -100, 200), 1e-12)
	require.InEpsilon(t, -100, WorstPosition(&r, -100, 80), 1e-12)
}

// A balanced load on a spring swings harmonically: T = 2π√(J/c r²) with J the whole inertia, r the
// travel a radian and c the stiffness. Bare numbers and 1 N/mm: 2π√(0.01/(1000 · 1e-4)) = 1.986918 s.
// Source: linear oscillator. The frequency of the midpoint rule with the force at θ + ω h/2 is that
// of a Verlet step, (ω h)²/24 = 3e-8 too high.
func TestBalancedLoadSwingsOnItsSpring(t *testing.T) {
	r := bareRig()
	r.Load.CounterbalanceN, r.Load.CounterbalanceNPerMM = 500, -1
	r.Load.StartMM = 50
	p := unpowered(New(r, 1))
	require.InEpsilon(t, 1.986918, swingPeriod(t, p), 5e-7)
}

// On an arm the force acts along the arc: 400 N at the centre of mass, 0.5 m from the pivot,
// behind a gear of ten to one is 20 N·m at the motor, which lift the arm with 10 N·m when it is
// level. Source: statics, by hand.
func TestForceOnAnArm(t *testing.T) {
	r := armRig()
	r.Load.CounterbalanceN = 400
	require.InEpsilon(t, 10, LoadTorque(&r, 0), 1e-12)
	require.InEpsilon(t, 15, LoadTorque(&r, arcMM(60)), 1e-12)
}

// No place weighs more than the worst, for any arm with a spring within two turns, and the worst is
// a place of the travel: 4001 places fall short of it by what a stationary torque loses over half a
// step, or by half a step of the steepest slope. Source: definition of a maximum; mean value theorem.
func TestWorstOfAnyArmIsAMaximum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := weight{
			moment: armMoment, perTurn: 0.1, angle0: rapid.Float64Range(-2*math.Pi, 2*math.Pi).Draw(t, "angle0"),
			constant: rapid.Float64Range(-15, 15).Draw(t, "constant"), perRad: rapid.Float64Range(-2, 2).Draw(t, "spring"),
		}
		low := rapid.Float64Range(-2*math.Pi, 2*math.Pi).Draw(t, "low")
		high := rapid.Float64Range(low, 2*math.Pi).Draw(t, "high")
		from, to := (low-w.angle0)/w.perTurn, (high-w.angle0)/w.perTurn
		at := w.worst(from, to)
		require.GreaterOrEqual(t, at, from)
		require.LessOrEqual(t, at, to)
		worst, found := math.Abs(w.torque(at)), 0.0
		const steps = 4000
		for i := range steps + 1 {
			found = max(found, math.Abs(w.torque(from+(to-from)*float64(i)/steps)))
		}
		slope := armMoment*w.perTurn + math.Abs(w.perRad)
		const rounding = 1e-10
		require.LessOrEqual(t, found, worst+rounding)
		require.GreaterOrEqual(t, found, worst-slope*(to-from)/steps/2-rounding)
	})
}

// Past the vertical the load pulls the other way: hanging over the far side at 180° the arm weighs
// as much as level, and would fall upwards by the sign of its travel. Source: cos 180° = −1,
// cos 120° = −½; by hand.
func TestArmBeyondTheVertical(t *testing.T) {
	r := armRig()
	r.Stops.LowMM, r.Stops.HighMM, r.Load.StartMM = arcMM(100), arcMM(200), arcMM(120)
	requireValid(t, &r)
	p := New(r, 1)
	require.InEpsilon(t, 5, p.State().LoadTorqueNM, 1e-12)
	d := Derive(&r)
	require.InEpsilon(t, 10, d.LoadTorqueNM, 1e-12, "at 180 degrees")
	require.InEpsilon(t, arcMM(180), WorstPosition(&r, r.Stops.LowMM, r.Stops.HighMM), 1e-12)
	require.InEpsilon(t, -13-10, d.PressDownNM, 1e-12, "the load opposes a press down there")
	require.InEpsilon(t, 13-10, d.PressUpNM, 1e-12)
	require.InEpsilon(t, 120, p.Read().PositionDeg, 1e-3)
	unpowered(p)
	run(p, Command{Mode: Off}, 100*time.Millisecond)
	require.Greater(t, p.LoadMM(), arcMM(120))
}

// A balanced arm with 60 kg on one side and 50 kg on the other, 0.8 m from the pivot each, has
// 110 · 0.64 = 70.4 kg·m², however it is written: 110 kg at their common centre of mass, 8/110 m from
// the pivot, with 70.4 − 110 (8/110)² = 69.818182 kg·m² beside it, or the 10 kg that are left at
// 0.8 m with 64 kg·m² beside them. Source: parallel axis theorem, any text on mechanics.
func balancedArms() map[string]Rig {
	centre, rest := armRig(), armRig()
	centre.Load.MassKG, centre.Load.ArmMM, centre.Load.InertiaKGM2 = 110, 800.0/11, 70.4-64.0/110
	rest.Load.MassKG, rest.Load.ArmMM, rest.Load.InertiaKGM2 = 10, 800, 64
	return map[string]Rig{"CentreOfMass": centre, "Rest": rest}
}

func TestInertiaOfABalancedArm(t *testing.T) {
	for name, r := range balancedArms() {
		d := Derive(&r)
		require.InEpsilon(t, 70.4/100, d.LoadInertiaKGM2, 1e-12, name)
		require.InEpsilon(t, 10*10*0.8/10, d.LoadTorqueNM, 1e-12, name)
	}
	r := bareRig()
	r.Load.InertiaKGM2, r.Transmission.GearRatio = 0.8, 4
	r.Transmission.FeedConstantMMPerTurn *= 4
	require.InEpsilon(t, 0.005+50*1e-4+0.8/16, Derive(&r).InertiaKGM2, 1e-12, "of a pinion, by 1/n²")
}

// It swings as a compound pendulum: T = 2π√(I/(m g d)) = 2π√(70.4/(10 · 10 · 0.8)) = 5.894150 s with
// g = 10 m/s². Without its own inertia the mass alone would give 2π√(0.0727/10) = 0.536 s. Source: any
// text on mechanics. The motor's 1e-8 kg·m² and the step as in [TestArmSwingsAsAPendulum].
func TestBalancedArmSwingsAsACompoundPendulum(t *testing.T) {
	for name, r := range balancedArms() {
		r.Load.ArmAngleDeg, r.Motor.InertiaKGM2 = -90, 1e-8
		r.Stops.LowMM, r.Stops.HighMM = -1e5, 1e5
		r.Load.StartMM = 1e-3 * r.Load.ArmMM
		require.InEpsilon(t, 5.894150, swingPeriod(t, unpowered(New(r, 1))), 5e-7, name)
	}
}

// The payload lies between least and most, and a counterbalance does not push. Messages to the letter,
// as in [TestValidateRefuses].
func TestValidateRefusesPayloadAndForce(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*Rig)
		path   string
		want   string
	}{
		{"PayloadBelowLeast", func(r *Rig) { r.Load.PayloadLeastKG = 5 }, "load.payload_least_kg",
			"load.payload_least_kg is 5 kg; must be at most load.payload_kg, which is 0 kg"},
		{"PayloadAboveMost", func(r *Rig) { r.Load.PayloadKG, r.Load.PayloadMostKG = 20, 10 }, "load.payload_most_kg",
			"load.payload_most_kg is 10 kg; must be 0 or at least load.payload_kg, which is 20 kg"},
		{"ForcePushesAtTheTop", func(r *Rig) { r.Load.CounterbalanceN, r.Load.CounterbalanceNPerMM = 100, -1 }, "load.counterbalance_n_per_mm",
			"load.counterbalance_n_per_mm is -1 N/mm, which gives a counterbalance of -1100 N at stops.high_mm; must not be below 0 N between the stops"},
		{"ForcePushesAtTheBottom", func(r *Rig) { r.Load.CounterbalanceNPerMM, r.Load.CounterbalanceAtMM = 1, 10 }, "load.counterbalance_n_per_mm",
			"load.counterbalance_n_per_mm is 1 N/mm, which gives a counterbalance of -10 N at stops.low_mm; must not be below 0 N between the stops"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := paneRig()
			c.change(&r)
			_, err := Validate(&r)
			require.Equal(t, problem.List{{Path: c.path, Message: c.want}}, problem.Of(err))
		})
	}
}

// A load that rises when it is empty is allowed and named: many lifts are counterweighted to half of
// their payload (common practice).
func TestValidateWarnsOfALoadThatRises(t *testing.T) {
	r := paneRig()
	r.Load.PayloadKG, r.Load.PayloadMostKG, r.Load.CounterbalanceN = 40, 40, 2000
	warnings, err := Validate(&r)
	require.NoError(t, err)
	require.Equal(t, problem.List{problem.At("load.counterbalance_n", "the counterbalance outweighs the load of 180 kg with its least payload: the load rises by itself, and the brake must hold it down").AsWarning()}, warnings)
	r.Load.PayloadLeastKG = 40
	warnings, err = Validate(&r)
	require.NoError(t, err)
	require.Empty(t, warnings)
}
