package plant

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// levelRig is bareRig without weight, so that the brake alone moves the shaft, and with
// a wear that can be seen: 100 mm/MJ, 1e-4 mm a joule.
func levelRig() Rig {
	r := bareRig()
	r.Load.InclineDeg = 0
	r.Brake.WearMMPerMJ = 100
	return r
}

// What is left of a brake is the product of what each cause leaves (common practice; the
// formula at frictionDisc.factor). By hand, with a knee at 120 °C, 0.002/K and a limit gap of
// 0.5 mm; rounding alone.
func TestWhatIsLeftOfABrake(t *testing.T) {
	for _, c := range []struct {
		name                        string
		condition, temp, gap, glaze float64
		left                        float64
	}{
		{"new", 1, 20, 0.25, 0, 1},
		{"worn", 0.35, 20, 0.25, 0, 0.35},
		{"at the knee", 1, 120, 0.25, 0, 1},
		{"above the knee", 1, 170, 0.25, 0, 0.9}, // 50 K · 0.002/K
		{"twice as far", 1, 220, 0.25, 0, 0.8},
		{"faded away", 1, 620, 0.25, 0, 0}, // 500 K · 0.002/K = 1
		{"hotter still", 1, 900, 0.25, 0, 0},
		{"at the limit gap", 1, 20, 0.5, 0, 1},
		{"past the limit gap", 1, 20, 0.6, 0, 0.8}, // 0.1 of 0.5 mm
		{"twice the limit gap", 1, 20, 1, 0, 0},
		{"wider still", 1, 20, 3, 0, 0},
		{"glazed", 1, 20, 0.25, 0.65, 0.35},
		{"all glaze", 1, 20, 0.25, 1, 0},
		{"everything", 0.9, 170, 0.6, 0.25, 0.486}, // 0.9 · 0.9 · 0.8 · 0.75
	} {
		t.Run(c.name, func(t *testing.T) {
			r := bareRig()
			r.Brake.Condition, r.Brake.AmbientC, r.Brake.GapMM, r.Brake.Glaze = c.condition, c.temp, c.gap, c.glaze
			p := New(r, 1)
			require.InDelta(t, c.left, p.State().BrakeFactor, 1e-12)
			require.InDelta(t, 20*c.left, p.StaticCapacityNM(), 1e-11)
			d := Derive(&r)
			require.InDelta(t, 20*c.left, d.BrakeCapacityNM, 1e-11)
		})
	}
}

// The factor acts on the shaft: a brake of 20 N·m with 0.486 left, as above, holds
// 9.6 N·m and slips at 9.8 N·m, on either side of 9.72.
func TestBrakeHoldsWhatIsLeft(t *testing.T) {
	for _, c := range []struct {
		press float64
		slips bool
	}{{9.6, false}, {9.8, true}, {-9.6, false}, {-9.8, true}} {
		r := levelRig()
		r.Brake.WearMMPerMJ = 0
		r.Brake.Condition, r.Brake.AmbientC, r.Brake.GapMM, r.Brake.Glaze = 0.9, 170, 0.6, 0.25
		p := New(r, 1)
		run(p, Command{Mode: Press, PressTorqueNM: c.press, PressRateNMS: 20, CloseBrake: true}, 520*time.Millisecond)
		require.Equal(t, c.slips, p.State().SlipRad > 0, "%g N·m", c.press)
	}
}

// Heat and gap never give a brake more than it had, whatever they are, and more of either
// leaves no more. Source: what the factors mean.
func TestFactorIsMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := defaultBrake()
		b.FadePerK = rapid.Float64Range(0, 1).Draw(t, "fade")
		b.GapLimitMM = logRange(1e-3, 20).Draw(t, "limit")
		l := frictionDiscOf(&b, time.Millisecond)
		temp, gap := rapid.Float64Range(-60, 1500).Draw(t, "temp"), logRange(1e-3, 60).Draw(t, "gap")
		glaze := rapid.Float64Range(0, 1).Draw(t, "glaze")
		left := l.factor(temp, gap, glaze)
		require.True(t, 0 <= left && left <= 1)
		require.LessOrEqual(t, l.factor(temp+rapid.Float64Range(0, 500).Draw(t, "hotter"), gap, glaze), left)
		require.LessOrEqual(t, l.factor(temp, gap+rapid.Float64Range(0, 20).Draw(t, "wider"), glaze), left)
	})
}

// stopTurning closes the brake on a level axis that turns at a speed in rad/s and waits
// for it to stand.
func stopTurning(p *Plant, speed float64) {
	p.state.SpeedRadS = speed
	run(p, Command{Mode: Off, CloseBrake: true}, 500*time.Millisecond)
	run(p, Command{Mode: Off}, 10*time.Millisecond)
}

// Wear goes with the work of the slip and with nothing else: Archard, J. Appl. Phys. 24,
// 1953: volume worn away in proportion to load times way, however fast. A shaft of 0.01
// kg·m² stopped from 100 rad/s has ½ · 0.01 · 1e4 = 50 J, with a brake of 20, 10 or 5
// N·m in 50, 100 or 200 ms, at once or in four stops from 50 rad/s: 50 J · 1e-4 mm/J =
// 5e-3 mm.
//
// What the friction disc's deflection still holds when the slip ends never slips: at most C²/(2σ₀),
// 20²/(2 · 11459) = 0.0175 J a stop, and as much again in its damper while the torque
// builds up and at the end, so 0.035 J less a stop; never more than 50 J.
func TestWearGoesWithTheWork(t *testing.T) {
	for _, c := range []struct {
		condition float64
		speeds    []float64
	}{
		{1, []float64{100}}, {0.5, []float64{100}}, {0.25, []float64{-100}},
		{1, []float64{50, 50, -50, 50}},
	} {
		r := levelRig()
		r.Brake.Condition = c.condition
		p := unpowered(New(r, 1))
		for _, speed := range c.speeds {
			stopTurning(p, speed)
		}
		s := p.State()
		worn := s.BrakeGapMM - 0.25
		require.InDelta(t, 1e-4*s.SlipWorkJ, worn, 1e-14)
		require.LessOrEqual(t, worn, 5e-3*(1+1e-12))
		require.Greater(t, worn, 1e-4*(50-0.035*float64(len(c.speeds))))
	}
}

// Ten times the wear per joule is ten times the wear, and none is none, to the bit.
func TestWearIsLinearInItsConstant(t *testing.T) {
	worn := func(perMJ float64) float64 {
		r := levelRig()
		r.Brake.WearMMPerMJ = perMJ
		p := unpowered(New(r, 1))
		stopTurning(p, 100)
		return p.State().BrakeGapMM - 0.25
	}
	require.Zero(t, worn(0))
	require.InEpsilon(t, 10*worn(10), worn(100), 1e-9) // rounding of 0.25 + 1e-7 a tick
}

// delayOf is the time from the close command until the first torque, to the tick: the
// last tick without engagement ends t11 after the command. With a rise of 20 ms a tick
// is an engagement of 0.0125; 1e-9 is rounding of the sum of ticks.
func delayOf(t *testing.T, p *Plant) time.Duration {
	t.Helper()
	n := 0
	for p.State().Engagement < 1e-9 {
		p.Step(Command{Mode: Off, CloseBrake: true})
		n++
		require.Less(t, n, 4000, "it does not close")
	}
	return time.Duration(n-1) * p.rig.Clock.Tick
}

// The response delay grows in proportion to the gap (common practice): 25 ms at a new
// brake's 0.25 mm, so 0.1 ms a micrometre.
func TestGapDelaysTheBrake(t *testing.T) {
	for _, c := range []struct {
		gap  float64
		want time.Duration
	}{{0.25, 25 * time.Millisecond}, {0.3, 30 * time.Millisecond}, {0.5, 50 * time.Millisecond}, {0.2, 20 * time.Millisecond}} {
		r := timedRig()
		r.Brake.GapMM = c.gap
		require.Equal(t, c.want, delayOf(t, unpowered(New(r, 1))), "%g mm", c.gap)

		p := unpowered(New(timedRig(), 1)) // set anew in a run
		run(p, Command{Mode: Off}, 20*time.Millisecond)
		p.Rig().Brake.GapMM = c.gap
		p.Reload()
		require.Equal(t, c.want, delayOf(t, p), "%g mm", c.gap)
	}
}

// A gap that wear opens delays the next close, not the one it wears in. Stops of 50 J
// at 1e-3 mm/J wear 0.05 mm each, less 0.035 J · 1e-3 mm/J as above: t11 is 25 ms, then
// 30 ms and 35 ms less up to 0.0035 ms a stop, which ends within the tick before.
func TestWearDelaysTheNextClose(t *testing.T) {
	r := levelRig()
	r.Brake.ResponseDelay, r.Brake.RiseTime, r.Brake.WearMMPerMJ = 25*time.Millisecond, 20*time.Millisecond, 1000
	p := unpowered(New(r, 1))
	for _, want := range []time.Duration{25 * time.Millisecond, 29750 * time.Microsecond, 34750 * time.Microsecond} {
		p.state.SpeedRadS = 100
		require.Equal(t, want, delayOf(t, p))
		run(p, Command{Mode: Off, CloseBrake: true}, 200*time.Millisecond)
		run(p, Command{Mode: Off}, 10*time.Millisecond)
	}
}

// A brake that is closed stays closed when its gap is set anew: the armature lies on the
// friction disc. 60 ms after the command t11 + t12 = 45 ms are over; a gap three times as wide
// would take 75 ms for t11 alone.
func TestClosedBrakeKeepsClosedWhenItsGapGrows(t *testing.T) {
	p := unpowered(New(timedRig(), 1))
	run(p, Command{Mode: Off, CloseBrake: true}, 60*time.Millisecond)
	p.Rig().Brake.GapMM = 0.75
	p.Reload()
	for range 400 {
		p.Step(Command{Mode: Off, CloseBrake: true})
		require.Zero(t, p.State().Engagement-1)
	}
	require.InDelta(t, 10, p.StaticCapacityNM(), 1e-12) // 0.25 of 0.5 mm past the limit
}

// A glazed friction disc comes back with slip work as exp(−W/W₀): 1/e of the glaze is left
// after W₀ (common practice; the constant is the field's own meaning). The tick takes
// 1 − x for e⁻ˣ with x = P h/W₀, which is lower by x²/2 to leading order and by no more
// than x²/2/(1 − x); over W/W₀ = Σx that is a share of x (W/W₀)/2/(1 − x). At 50 rad/s ·
// 5 N·m = 250 W, W₀ = 500 J and 250 µs, x = 1.25e-4: 6.3e-5 a W₀.
//
// Motor and brake are in balance, 5 N·m each: see [loweredOnTheBrake]. Glaze would take
// torque from the brake, so its share is set apart from it by a condition of 1/(1 − g) at
// each tick; that keeps the power steady.
func TestGlazeIsWornOff(t *testing.T) {
	for _, tick := range []time.Duration{250 * time.Microsecond, 50 * time.Microsecond} {
		p := loweredOnTheBrake(tick, func(b *Brake) { b.Glaze = 0.4 })
		before := *p.State()
		most := 0.0
		for p.State().SlipWorkJ-before.SlipWorkJ < 1000 {
			work := p.State().SlipWorkJ
			lowerOnTheBrake(p)
			require.Greater(t, p.State().SlipWorkJ, work, "it does not slip")
			most = max(most, (p.State().SlipWorkJ-work)/500)
		}
		turns := (p.State().SlipWorkJ - before.SlipWorkJ) / 500 // W/W₀, a little over 2
		left := p.State().BrakeGlaze / before.BrakeGlaze
		require.InEpsilon(t, 250*tick.Seconds()/500, most, 0.01)
		require.LessOrEqual(t, left, math.Exp(-turns)*(1+1e-9))
		require.GreaterOrEqual(t, left, math.Exp(-turns)*(1-most/(1-most)*turns/2-1e-9))
	}
}

// loweredOnTheBrake is a load of 5 N·m that goes down at 50 rad/s on a brake of just 5
// N·m, without a drive: constant slip power of 250 W, but for the first milliseconds in
// which the brake's torque builds up, and these are over. Friction pair of 100 J/K and
// 0.05 K/W: a time constant of 5 s.
func loweredOnTheBrake(tick time.Duration, change func(*Brake)) *Plant {
	r := bareRig()
	r.Clock.Tick = tick
	r.Load.StartSpeedMMS = -500
	r.Brake.StaticNM, r.Brake.SlidingNM = bareLoad, bareLoad
	r.Brake.HeatCapacity, r.Brake.ThermalResistance = 100, 0.05
	change(&r.Brake)
	p := unpowered(New(r, 1))
	for range int(20 * time.Millisecond / tick) {
		lowerOnTheBrake(p)
	}
	return p
}

// lowerOnTheBrake makes up for the glaze and goes one tick on.
func lowerOnTheBrake(p *Plant) {
	p.brake.disc.condition = 1 / (1 - p.state.BrakeGlaze)
	p.brake.refresh(&p.state.BrakeState)
	p.Step(Command{Mode: Off, CloseBrake: true})
}

// Constant slip power P takes the friction disc to T_amb + P R by 1 − e⁻¹ = 0.632121 after one
// time constant R C = 5 s and 1 − e⁻³ = 0.950213 after three; open again, e⁻¹ = 0.367879
// and e⁻³ = 0.049787 of the excess are left. Source: lumped capacitance, C dT/dt = P −
// (T − T_amb)/R, e.g. Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, ch. 5
// (from memory). P R is 250 W · 0.05 K/W = 12.5 K and a little: until the torque stands,
// after 0.1° of 5 N·m at 50 rad/s or 35 µs, the load gains 0.02 % of speed, 2e-3 K. The
// tick solves its equation exactly: 5e-7 are the digits of the shares.
func TestFrictionDiscWarmsAndCools(t *testing.T) {
	p := loweredOnTheBrake(250*time.Microsecond, func(*Brake) {})
	s := p.State()
	settled := 20 + bareLoad*math.Abs(s.SpeedRadS)*0.05
	require.InDelta(t, 32.5, settled, 2.5e-3)
	start := s.BrakeTempC
	warmTo := func(share float64, lasts time.Duration) {
		run(p, Command{Mode: Off, CloseBrake: true}, lasts)
		require.InDelta(t, share, (s.BrakeTempC-start)/(settled-start), 5e-7)
	}
	warmTo(0.632121, 5*time.Second)
	warmTo(0.950213, 10*time.Second)
	excess := s.BrakeTempC - 20
	coolTo := func(share float64, lasts time.Duration) {
		run(p, Command{Mode: Off}, lasts)
		require.InDelta(t, share, (s.BrakeTempC-20)/excess, 5e-7)
	}
	coolTo(0.367879, 5*time.Second)
	coolTo(0.049787, 10*time.Second)
}

// Fade follows the temperature up and down again: 0.01 of 1/K above 25 °C takes the brake
// down while it warms and gives it back when it cools. The factor is that of the
// temperature at every tick; both come from the same state, so rounding alone.
func TestFadeGoesAndComes(t *testing.T) {
	r := bareRig()
	r.Load.StartSpeedMMS = -500
	r.Brake.HeatCapacity, r.Brake.ThermalResistance, r.Brake.FadeFromC, r.Brake.FadePerK = 1, 0.5, 25, 0.01
	p := unpowered(New(r, 1))
	s, lowest := p.State(), 1.0
	for n := range 20000 {
		p.Step(Command{Mode: Off, CloseBrake: n < 2000})
		require.InDelta(t, 1-0.01*max(0, s.BrakeTempC-25), s.BrakeFactor, 1e-12)
		lowest = min(lowest, s.BrakeFactor)
	}
	require.Less(t, lowest, 0.98)
	require.Zero(t, s.BrakeFactor-1)
}

// Elastic work heats nothing, wears nothing and beds nothing in: a
// brake pressed to and fro below breakaway stays as it is, to the bit; and a warm one
// cools as if it were open, to the bit.
func TestElasticWorkDoesNothing(t *testing.T) {
	for _, warm := range []float64{0, 60} {
		r := levelRig()
		r.Brake.Glaze = 0.1
		p, open := New(r, 1), New(r, 1)
		p.state.BrakeTempC += warm
		open.state.BrakeTempC += warm
		before := *p.State()
		largest := 0.0
		for n := range 8000 {
			torque := 12 * math.Sin(2*math.Pi*3*float64(n)*250e-6) // of 18 N·m
			p.Sample()
			p.Step(Command{Mode: Press, PressTorqueNM: torque, CloseBrake: true})
			open.Step(Command{Mode: Off})
			require.Zero(t, p.State().BrakeTempC-open.State().BrakeTempC)
			largest = max(largest, math.Abs(p.State().BrakeDeflectionRad))
		}
		require.Greater(t, largest, 1e-3) // 12 N·m/11459 N·m/rad
		s := p.State()
		require.Zero(t, s.SlipWorkJ)
		require.Zero(t, s.BrakeGapMM-before.BrakeGapMM)
		require.Zero(t, s.BrakeGlaze-before.BrakeGlaze)
	}
}

// Voltage left on the coil takes u² of the force: Maxwell's pull goes with the square of
// the flux (any text on electromagnetism). The brake closes to 1 − u², by hand: 0.75,
// 0.64, 0.36, 0.19, 0; of 20 N·m at a load of 5 N·m, 3.8 N·m does not hold. The switch
// watches the armature, which lies on the friction disc but for full voltage.
func TestResidualVoltage(t *testing.T) {
	for _, c := range []struct{ voltage, engagement float64 }{
		{0, 1}, {0.5, 0.75}, {0.6, 0.64}, {0.8, 0.36}, {0.9, 0.19}, {1, 0},
	} {
		r := timedRig()
		r.Brake.ResidualVoltage = c.voltage
		d := Derive(&r)
		require.InDelta(t, bareBrake*c.engagement, d.BrakeCapacityNM, 1e-12)
		p := New(r, 1)
		run(p, Command{Mode: Hold, CloseBrake: true}, 100*time.Millisecond)
		require.InDelta(t, c.engagement, p.State().Engagement, 1e-12)
		require.InDelta(t, bareBrake*c.engagement, p.StaticCapacityNM(), 1e-12)
		require.Equal(t, c.voltage < 1, p.Sample().BrakeClosed)
		run(p, Command{Mode: Off, CloseBrake: true}, 300*time.Millisecond)
		require.Equal(t, c.engagement < 0.25, p.LoadMM() < -1, "u = %g", c.voltage) // deflection: 0.02 mm
	}
}

// The lesser of what jams the armature and what pulls it back counts.
func TestResidualVoltageOnAJammedBrake(t *testing.T) {
	for _, c := range []struct{ closesTo, voltage, want float64 }{{0.5, 0.6, 0.5}, {0.9, 0.6, 0.64}} {
		r := bareRig()
		r.Brake.ClosesTo, r.Brake.ResidualVoltage = c.closesTo, c.voltage
		require.InDelta(t, bareBrake*c.want, New(r, 1).StaticCapacityNM(), 1e-12)
	}
}

// A fault sets gap or glaze anew in mid-run, each alone; any other change of the rig
// leaves both, and the heat, as the run has made them, to the bit.
func TestFrictionDiscInMidRun(t *testing.T) {
	r := levelRig()
	r.Brake.Glaze = 0.2
	p := unpowered(New(r, 1))
	stopTurning(p, 100)
	worn := *p.State()
	require.Greater(t, worn.BrakeGapMM, 0.25)
	require.Less(t, worn.BrakeGlaze, 0.2)
	require.Greater(t, worn.BrakeTempC, 20.0)

	p.Rig().Motor.TorqueFactor, p.Rig().Brake.FadePerK = 0.9, 0.003
	p.Reload()
	require.Equal(t, worn, *p.State())

	p.Rig().Brake.GapMM = 0.6
	p.Reload()
	require.InDelta(t, 0.6, p.State().BrakeGapMM, 0)
	require.InDelta(t, worn.BrakeGlaze, p.State().BrakeGlaze, 0)
	require.InDelta(t, 0.8*(1-worn.BrakeGlaze), p.State().BrakeFactor, 1e-12)

	p.Rig().Brake.Glaze = 0.5
	p.state.BrakeGapMM = 0.61 // worn on
	p.Reload()
	require.InDelta(t, 0.61, p.State().BrakeGapMM, 0)
	require.InDelta(t, 0.5, p.State().BrakeGlaze, 0)
	require.InDelta(t, 0.78*0.5, p.State().BrakeFactor, 1e-12) // 0.11 of 0.5 mm
}
