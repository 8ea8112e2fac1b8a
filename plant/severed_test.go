package plant

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// sever breaks the transmission in mid-run.
func sever(p *Plant) {
	p.Rig().Transmission.Severed = true
	p.Reload()
}

// The load no longer acts on the motor: nothing pulls at it or rubs, its own inertia is all
// that a torque has to turn, and no stop ends its way. Source: statics; Newton-Euler. 1 N·m
// through a lag of 1 ms for 50 ms on 0.005 kg·m²: ∫τ dt = 1 · (0.05 − 0.001) N·m·s, so
// 200 rad/s² · 0.049 s = 9.8 rad/s; e⁻⁵⁰ of the lag and rounding are below 1e-9.
func TestSeveredMotorIsAlone(t *testing.T) {
	r := stopRig()
	r.Guide.SlidingNM, r.Guide.ViscousNMS, r.Transmission.Efficiency = 0.4, 0.01, 0.8
	r.Drive.SwitchOnTime = 0
	p := unpowered(New(r, 1))
	sever(p)
	run(p, Command{Mode: Off}, 20*time.Millisecond)
	require.Zero(t, p.State().SpeedRadS)
	require.Zero(t, p.State().LoadTorqueNM)
	run(p, Command{Mode: Press, PressTorqueNM: 1}, 50*time.Millisecond)
	require.InDelta(t, 9.8, p.State().SpeedRadS, 1e-9)
	run(p, Command{Mode: Press, PressTorqueNM: 1}, 100*time.Millisecond)
	require.Greater(t, p.State().AngleRad, 1.0) // the upper stop was at 10 mm, or 1 rad
	require.Zero(t, p.State().StopTorqueNM)
	require.Zero(t, p.State().GuideTorqueNM)
}

// The load falls from the speed it had: y = v t − ½ a t² with
//
//	a = g (m sin α − m_c)/(m + m_c)
//
// for 50 kg and g = 10 m/s²: all of g without a counterbalance; 5 at 30°; 10 · 20/80 with
// 30 kg against it; 10 · (25 − 30)/80 = −0.625 with both, which rises; 0 when level.
// Source: Atwood's machine, any text on mechanics; the inclined plane. The rule of the
// tick is exact for a parabola: 1e-9 mm is rounding. Friction of the guide, efficiency
// and gear are those of the way to the motor and have no part in it.
func TestSeveredLoadFalls(t *testing.T) {
	for _, c := range []struct{ incline, counter, a float64 }{
		{90, 0, 10}, {30, 0, 5}, {90, 30, 2.5}, {30, 30, -0.625}, {0, 0, 0},
	} {
		for _, speed := range []float64{0, 200, -350} {
			r := bareRig()
			r.Load.InclineDeg, r.Load.CounterbalanceKG = c.incline, c.counter
			r.Load.StartMM, r.Load.StartSpeedMMS = 40, speed
			r.Guide.SlidingNM, r.Transmission.Efficiency, r.Transmission.GearRatio = 0.4, 0.8, 3
			p := unpowered(New(r, 1))
			sever(p)
			for n := 1; n <= 1000; n++ {
				p.Step(Command{Mode: Off})
				at := float64(n) * 250e-6
				require.InDelta(t, 40+speed*at-1000*c.a*at*at/2, p.LoadMM(), 1e-9)
			}
		}
	}
}

// It takes place and speed of the moment that it breaks at: a load that has fallen free
// before goes on along the same parabola only if the motor had no inertia; with the
// motor, its acceleration changes from 5 m/s² (5 N·m on 0.01 kg·m² at 0.01 m/rad) to 10.
// After 100 ms each, 25 mm and 500 mm/s, then 25 + 50 + 50 = 125 mm. Source: kinematics;
// rounding.
func TestSeveredInTheFall(t *testing.T) {
	p := unpowered(New(bareRig(), 1))
	run(p, Command{Mode: Off}, 100*time.Millisecond)
	require.InDelta(t, -25, p.LoadMM(), 1e-9)
	sever(p)
	require.InDelta(t, -25, p.LoadMM(), 1e-9)
	run(p, Command{Mode: Off}, 100*time.Millisecond)
	require.InDelta(t, -125, p.LoadMM(), 1e-9)
	// the motor, of 50 rad/s, runs on by 0.5 rad and 5 rad
	require.InDelta(t, -2.5-5, p.State().AngleRad, 1e-9)
}

// A rig that is severed from the start lets the load go from where it starts.
func TestSeveredFromTheStart(t *testing.T) {
	r := bareRig()
	r.Transmission.Severed = true
	r.Load.StartMM, r.Load.StartSpeedMMS = 300, -100
	p := New(r, 1)
	require.InDelta(t, 300, p.LoadMM(), 1e-12)
	run(p, Command{Mode: Off}, 100*time.Millisecond)
	require.InDelta(t, 300-10-50, p.LoadMM(), 1e-9) // v t and ½ g t²
}

// The lower stop ends the fall, for good and without a bounce. From
// 200 mm/s up to 100 mm below: 0.2 t − 5 t² = −0.1 gives t = (0.2 + √2.04)/10 =
// 0.1628286 s, in tick 652 (0.163 s); the 651st ends at 0.16275 s.
func TestSeveredLoadComesToRest(t *testing.T) {
	r := bareRig()
	r.Stops.LowMM, r.Load.StartSpeedMMS = -100, 200
	p := unpowered(New(r, 1))
	sever(p)
	for n := 1; n <= 4000; n++ {
		p.Step(Command{Mode: Off})
		require.Equal(t, n >= 652, p.LoadMM() <= -100, "tick %d", n)
		require.GreaterOrEqual(t, p.LoadMM(), -100-1e-12)
	}
	require.Zero(t, p.free.speed)
}

// A load that its counterbalance outweighs rises and ends at the upper stop.
func TestSeveredLoadRisesToTheUpperStop(t *testing.T) {
	r := bareRig()
	r.Load.CounterbalanceKG, r.Stops.HighMM = 150, 60 // a = 10 · 100/200 up: 60 mm in 0.155 s
	p := unpowered(New(r, 1))
	sever(p)
	run(p, Command{Mode: Off}, 154*time.Millisecond)
	require.InDelta(t, 5000*0.154*0.154/2, p.LoadMM(), 1e-9)
	run(p, Command{Mode: Off}, time.Second)
	require.InDelta(t, 60, p.LoadMM(), 1e-12)
}

// An arm falls as a pendulum about its pivot, whatever motor and gear it had. From level
// to hanging is a quarter of a swing of 90°: (π/2) √(r/g)/agm(1, cos 45°) = 1.570796 ·
// 0.2236068/0.8472131 = 0.4145837 s. Source: as in [TestArmSwingsAsAPendulum]. Seven
// digits, and (ω h)²/24 = 5e-8 of the method.
func TestSeveredArmFallsAsAPendulum(t *testing.T) {
	for _, gear := range []float64{1, 10, 80} {
		r := armRig()
		r.Transmission.GearRatio = gear
		r.Stops.LowMM = -1e5
		p := unpowered(New(r, 1))
		sever(p)
		hanging := arcMM(-90)
		n, before := 0, 0.0
		for p.LoadMM() > hanging {
			before = p.LoadMM()
			p.Step(Command{Mode: Off})
			n++
			require.Less(t, n, 4000, "it does not fall")
		}
		at := (float64(n) - (hanging-p.LoadMM())/(before-p.LoadMM())) * 250e-6
		require.InEpsilon(t, 0.4145837, at, 5e-7)
		// v = √(2 g r): all of the height became speed
		require.InEpsilon(t, math.Sqrt(2*10*0.5), -p.free.speed*p.c.millimetres/1000, 1e-6)
	}
}

// Nothing mends it in a run, and no other change of the rig lets the load begin anew.
func TestSeveredStaysSevered(t *testing.T) {
	p := unpowered(New(bareRig(), 1))
	sever(p)
	run(p, Command{Mode: Off}, 50*time.Millisecond)
	p.Rig().Transmission.Severed = false
	p.Rig().Guide.SlidingNM = 3
	p.Reload()
	run(p, Command{Mode: Off}, 25*time.Millisecond)
	sever(p)
	run(p, Command{Mode: Off}, 25*time.Millisecond)
	require.InDelta(t, -50, p.LoadMM(), 1e-9) // ½ g (0.1 s)²
	require.Zero(t, p.State().LoadTorqueNM)
	require.Zero(t, p.State().AngleRad)
}

// A brake test sees nothing of it: the brake of the motor carries what the drive presses,
// does not slip, and is as good as its rating, while the load is gone. What the test asks
// for stays that of the load. Source: torque balance of the shaft at rest; 5 N·m · 1.3.
// At rest ringing and lag are over: 1e-9 N·m.
func TestBrakeTestOnASeveredAxis(t *testing.T) {
	p := New(bareRig(), 1)
	run(p, Command{Mode: Hold, CloseBrake: true}, 100*time.Millisecond)
	sever(p)
	run(p, Command{Mode: Press, PressTorqueNM: -6.5, PressRateNMS: 50, CloseBrake: true}, 600*time.Millisecond)
	require.InDelta(t, 6.5, p.State().BrakeTorqueNM, 1e-9)
	require.Zero(t, p.State().SlipRad)
	require.InDelta(t, bareBrake, p.StaticCapacityNM(), 1e-12)
	require.InDelta(t, 6.5, p.RequiredTestNM(), 1e-12)
	require.InDelta(t, 0, p.Sample().PositionMM, 0.02) // the deflection of 6.5 of 20 N·m, 0.1° each
	require.InDelta(t, -1800, p.LoadMM(), 1)           // ½ g (0.6 s)², deflection before the failure
}

// The load of a clone falls on its own too.
func TestSeveredClone(t *testing.T) {
	p := unpowered(New(bareRig(), 1))
	sever(p)
	c := p.Clone()
	run(c, Command{Mode: Off}, 100*time.Millisecond)
	require.Zero(t, p.LoadMM())
	require.InDelta(t, -50, c.LoadMM(), 1e-9)
}
