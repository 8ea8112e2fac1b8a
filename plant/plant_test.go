package plant

import (
	"math"
	"reflect"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// sensible are the decades in which the rigs of the properties below are drawn; what is
// not named keeps its default.
func sensible() map[string][2]float64 {
	return map[string][2]float64{
		"load.mass_kg": {1, 5000}, "load.payload_kg": {1, 5000}, "load.counterbalance_kg": {1, 5000},
		"load.counterbalance_n": {100, 1e4}, "load.counterbalance_n_per_mm": {1e-3, 1}, "load.inertia_kg_m2": {1e-4, 1},
		"transmission.efficiency_lowering": {0.3, 1}, "support.stiffness_n_per_mm": {100, 1e6}, "support.damping_ratio": {0.01, 2},
		"support.at_mm": {1, 49}, "load.incline_deg": {1, 90},
		"load.gravity_m_s2": {1, 10}, "load.start_speed_mm_s": {1, 500},
		"transmission.feed_constant_mm_per_turn": {2, 200}, "transmission.gear_ratio": {1, 20},
		"transmission.efficiency": {0.3, 1}, "stops.stiffness_n_per_mm": {100, 1e6},
		"stops.damping_ratio": {0.01, 2}, "guide.sliding_nm": {1e-3, 1}, "guide.breakaway_nm": {1, 3},
		"guide.stribeck_rpm": {0.1, 100}, "guide.viscous_nm_s": {1e-5, 1e-2}, "guide.wind_up_deg": {1e-3, 1},
		"guide.damping_ratio": {0.05, 2}, "motor.inertia_kg_m2": {1e-5, 0.1},
		"motor.torque_constant_nm_per_rms_a": {0.1, 5}, "motor.torque_factor": {0.5, 1.2},
		"drive.current_limit_rms_a": {1, 100}, "drive.current_lag": {1e-4, 1e-2},
		"drive.current_noise_rms_a": {1e-4, 0.1}, "drive.speed_mm_s": {1, 1000},
		"drive.acceleration_mm_s2": {10, 1e4}, "drive.position_gain_per_s": {1, 100},
		"drive.speed_bandwidth_hz": {1, 200}, "drive.speed_integral_time": {1e-3, 1},
		"drive.speed_filter": {1e-4, 1e-2}, "brake.static_nm": {0.1, 500}, "brake.sliding_nm": {0.1, 500},
		"brake.stribeck_rpm": {0.1, 100}, "brake.condition": {0.05, 1.5}, "brake.response_delay": {1e-3, 0.1},
		"brake.rise_time": {1e-3, 0.1}, "brake.release_time": {1e-3, 0.1}, "brake.wind_up_deg": {1e-3, 1},
		"brake.damping_ratio": {0.05, 2}, "brake.play_deg": {1e-3, 1}, "brake.closes_to": {0.5, 1},
		"brake.opens_to": {1e-3, 0.5}, "brake.heat_capacity_j_per_k": {10, 1e4},
		"brake.thermal_resistance_k_per_w": {0.1, 10}, "encoder.noise_deg": {1e-4, 0.1}, "encoder.offset_deg": {1, 360},
		"brake.residual_voltage": {0.01, 0.9}, "brake.glaze": {0.01, 0.9}, "brake.bed_in_j": {1, 1e4},
		"brake.creep_deg_per_s": {0.01, 100}, "brake.adhesion": {0.01, 2}, "brake.hand_release": {0.01, 0.5},
		"brake.excess_k": {1, 100}, "brake.release_delay": {1e-4, 9e-4}, "brake.glaze_returns_to": {0.01, 0.9},
		"brake.coil_voltage": {0.2, 1.2}, "brake.gap_mm": {0.1, 1}, "brake.wear_mm_per_mj": {1e-3, 100}, "brake.fade_from_c": {30, 300},
		"brake.fade_per_k": {1e-4, 0.05}, "encoder.scale": {0.9, 1.1}, "encoder.drift_deg_per_s": {0.01, 10},
		"drive.press_rate_factor": {0.1, 10}, "drive.press_overshoot": {0.01, 2}, "drive.creep_mm_s": {0.1, 100},
		"drive.current_offset_rms_a": {0.01, 10}, "drive.current_gain": {0.1, 2}, "encoder.wrap_error_deg": {0.1, 90},
		"clock.tick": {50e-6, 1e-3},
	}
}

// drawRig draws a valid rig through its fields: each sensible value over its decades,
// or at the lower end of what it may be, which is zero for most.
func drawRig(t *rapid.T) Rig {
	r := Defaults()
	r.Stops.LowMM, r.Stops.HighMM, r.Judge.CeilingNM = -50, 50, 10
	decades := sensible()
	for _, f := range Fields() {
		span, ok := decades[f.Path]
		if !ok {
			continue
		}
		x := logRange(span[0], span[1]).Draw(t, f.Path)
		if f.Min == 0 && f.Path != "transmission.feed_constant_mm_per_turn" && rapid.IntRange(0, 3).Draw(t, "zero") == 0 {
			x = 0
		}
		switch v := f.value.(type) {
		case *typed[float64]:
			*v.at(&r) = x
		case *typed[time.Duration]:
			*v.at(&r) = time.Duration(x*1e6) * time.Microsecond
		}
	}
	if r.Support.AtMM = -r.Support.AtMM; r.Support.StiffnessNPerMM == 0 {
		r.Support.AtMM = 0
	}
	if r.Load.CounterbalanceN == 0 {
		r.Load.CounterbalanceNPerMM = 0
	} else if rapid.Bool().Draw(t, "gas") {
		r.Load.CounterbalanceNPerMM = -r.Load.CounterbalanceNPerMM
	}
	r.Brake.OpensTo = min(r.Brake.OpensTo, timesOf(&r.Brake).closesTo)
	r.Clock.FunctionalScan, r.Clock.SafetyScan = 8*r.Clock.Tick, 32*r.Clock.Tick
	_, err := Validate(&r)
	require.NoError(t, err)
	return r
}

func drawCommand(t *rapid.T) Command {
	return Command{
		Mode:          Mode(rapid.IntRange(0, 3).Draw(t, "mode")),
		TargetMM:      rapid.Float64Range(-60, 60).Draw(t, "target"),
		SpeedMMS:      rapid.Float64Range(0, 500).Draw(t, "speed"),
		PressTorqueNM: rapid.Float64Range(-300, 300).Draw(t, "press"),
		PressRateNMS:  rapid.Float64Range(0, 500).Draw(t, "rate"),
		TorqueLimitNM: rapid.Float64Range(0, 100).Draw(t, "limit"),
		CloseBrake:    rapid.Bool().Draw(t, "close"),
	}
}

// requireFinite fails on a field that is not a number or has run away.
func requireFinite(t require.TestingT, of any) {
	v := reflect.ValueOf(of)
	for i := range v.NumField() {
		if f := v.Field(i); f.CanFloat() {
			x := f.Float()
			require.False(t, math.IsNaN(x) || math.Abs(x) > 1e12, "%s is %g", v.Type().Field(i).Name, x)
		}
	}
}

// Whatever valid rig and whatever commands: every value stays a number of human size.
func TestValuesStayFinite(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := New(drawRig(t), 1)
		for range 10 {
			c := drawCommand(t)
			for range 40 {
				seen := p.Sample()
				p.Step(c)
				requireFinite(t, seen)
			}
			requireFinite(t, *p.State())
		}
	})
}

// A plant begins where and as its rig says: 5 mm and 30 mm/s at 0.01 m/rad are 0.5 rad
// and 3 rad/s; the drive is on and carries the load.
func TestStart(t *testing.T) {
	r := bareRig()
	r.Load.StartMM, r.Load.StartSpeedMMS = 5, 30
	p := New(r, 1)
	require.InEpsilon(t, 0.5, p.State().AngleRad, 1e-12)
	require.InEpsilon(t, 3, p.State().SpeedRadS, 1e-12)
	require.InEpsilon(t, 5, p.LoadMM(), 1e-12)
	require.InEpsilon(t, bareLoad, p.State().MotorTorqueNM, 1e-12)
	require.Equal(t, Hold, p.DriveMode())
	position, travelling := p.SetpointMM(), p.Travelling()
	// the setpoint of the tick before, 250 µs at 30 mm/s behind, to the increment
	require.InDelta(t, 5-0.0075, position, p.c.encoderStep*p.c.millimetres/2)
	require.False(t, travelling)
}

// The energy account of every tick closes: what moves the shaft is the work of the
// torques that the state shows, with w the mean speed of the tick,
//
//	½J(ω'² − ω²) = h w (τ_m + τ_b + τ_f + τ_stop + τ_support + τ_g − b w)
//
// and with the drive off what is stored in motion, height and springs shrinks by at
// least what the brake turned into heat. Source: first law; passivity of dry friction
// and of one-sided contact.
//
// The force of a counterbalance is that at θ + h ω/2, in place of θ + h w/2, so that its work
// differs from its potential by c h² w (w − ω)/2 at most, as that of a Verlet step does.
//
// Rounding: see [accountRounding].
func TestEnergyAccount(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := unpowered(New(drawRig(t), 1))
		k, s, h := &p.k, &p.state, p.k.tick
		for range 10 {
			closed := rapid.Bool().Draw(t, "close")
			for range 40 {
				before, energy := *s, stored(p)
				p.Step(Command{Mode: Off, CloseBrake: closed})
				w := (before.SpeedRadS + s.SpeedRadS) / 2
				torque := s.MotorTorqueNM + s.BrakeTorqueNM + s.GuideTorqueNM + s.StopTorqueNM + s.SupportTorqueNM + s.LoadTorqueNM - k.viscous*w
				kinetic := k.inertia * (s.SpeedRadS*s.SpeedRadS - before.SpeedRadS*before.SpeedRadS) / 2
				rounding := accountRounding(p, &before, w)
				require.InDelta(t, kinetic, h*w*torque, rounding)
				midpoint := math.Abs(k.weight.perRad) * h * h * math.Abs(w*(w-before.SpeedRadS)) / 2
				require.LessOrEqual(t, stored(p)+(s.SlipWorkJ-before.SlipWorkJ), energy+midpoint*(1+1e-9)+rounding)
			}
		}
	})
}

// accountRounding is what an account of one tick may be off by, in J: 1e-12 of all that
// is summed, with the depths of play and stops as differences of larger angles; and the
// solver's own 1e-12 of the speed (at least 1e-12 rad/s), twice, in the stiffest torque
// and in the slip that is booked.
func accountRounding(p *Plant, before *State, w float64) float64 {
	k, s, h := &p.k, &p.state, p.k.tick
	path := h * math.Abs(w)
	kinetic := k.inertia * (s.SpeedRadS*s.SpeedRadS + before.SpeedRadS*before.SpeedRadS)
	work := path * (math.Abs(s.BrakeTorqueNM) + math.Abs(s.GuideTorqueNM) + math.Abs(s.StopTorqueNM) + s.SupportTorqueNM + math.Abs(k.weight.constant) + math.Abs(s.LoadTorqueNM))
	deflection := math.Abs(before.BrakeDeflectionRad) + math.Abs(s.BrakeDeflectionRad)
	springs := p.brake.friction.stiffness*(deflection+p.brake.friction.halfPlay)*(deflection+path) + k.guide.stiffness*(before.GuideDeflectionRad*before.GuideDeflectionRad+s.GuideDeflectionRad*s.GuideDeflectionRad)
	angle := math.Abs(s.AngleRad) + k.stopHigh
	if outside := math.Max(s.AngleRad-k.stopHigh, k.stopLow-s.AngleRad); outside > -path {
		springs += k.stopStiffness * angle * (math.Abs(outside) + 2*path)
	}
	if inside := k.support - s.AngleRad; inside > -path {
		springs += k.supportStiffness * angle * (math.Abs(inside) + 2*path)
	}
	slope := (k.guide.stiffness+p.brake.friction.stiffness+k.stopStiffness+k.supportStiffness)*h + k.guide.damping + p.brake.friction.damping + k.stopDamping + k.supportDamping
	solver := 2e-12 * (1 + math.Abs(w)) * (slope*path + h*math.Abs(s.BrakeTorqueNM))
	return 1e-12*(kinetic+work+springs+(math.Abs(k.weight.constant)+math.Abs(k.weight.perRad)*angle)*angle+s.SlipWorkJ) + solver
}

// mirrored hangs counterbalance for load, swaps the stops and turns the encoder.
func mirrored(r Rig) Rig {
	r.Load.MassKG, r.Load.CounterbalanceKG = r.Load.CounterbalanceKG, r.Load.MassKG
	r.Load.StartMM, r.Load.StartSpeedMMS = -r.Load.StartMM, -r.Load.StartSpeedMMS
	r.Stops.LowMM, r.Stops.HighMM = -r.Stops.HighMM, -r.Stops.LowMM
	r.Encoder.OffsetDeg = -r.Encoder.OffsetDeg
	return r
}

// Up and down are alike: an axis whose load, stops, start and commands are mirrored
// moves as the mirror image. Source: symmetry of the equations of section 3. To
// rounding in a chaotic chain of 4000 ticks with a rounded encoder: 1e-9.
func TestMirrorSymmetry(t *testing.T) {
	r := bareRig()
	r.Load.MassKG, r.Load.CounterbalanceKG = 120, 60
	r.Load.StartMM, r.Load.StartSpeedMMS = 13, -40
	r.Stops.LowMM, r.Stops.HighMM = -30, 90
	r.Guide.SlidingNM, r.Guide.BreakawayNM, r.Guide.ViscousNMS = 0.3, 0.5, 1e-3
	r.Brake.SlidingNM, r.Brake.PlayDeg = 15, 0.03
	r.Brake.RiseTime, r.Brake.ReleaseTime = 20*time.Millisecond, 30*time.Millisecond
	r.Encoder.OffsetDeg = 33
	p, q := New(r, 1), New(mirrored(r), 1)
	struck := false
	for _, c := range []Command{
		{Mode: Move, TargetMM: 60},
		{Mode: Hold, CloseBrake: true},
		{Mode: Press, PressTorqueNM: -18, PressRateNMS: 400, CloseBrake: true},
		{Mode: Off, CloseBrake: true},
		{Mode: Off},
	} {
		m := c
		m.TargetMM, m.PressTorqueNM = -c.TargetMM, -c.PressTorqueNM
		for range 800 {
			a, b := p.Sample(), q.Sample()
			p.Step(c)
			q.Step(m)
			require.InDelta(t, -a.PositionMM, b.PositionMM, 1e-9)
			require.InDelta(t, -p.state.AngleRad, q.state.AngleRad, 1e-9)
			require.InDelta(t, -p.state.BrakeTorqueNM, q.state.BrakeTorqueNM, 1e-6) // σ₀ = 1e4 N·m/rad
			require.InDelta(t, p.state.SlipWorkJ, q.state.SlipWorkJ, 1e-9)
			struck = struck || p.state.StopTorqueNM != 0
		}
	}
	require.NotZero(t, p.state.SlipWorkJ)
	require.True(t, struck)
}

// braked is what came of a braked fall.
type braked struct{ sag, distance, slip, work float64 }

// brakedFall lets the load go from rest, or from a lowering speed, and closes the brake
// at once with its times; the axis is at rest well before the end.
func brakedFall(tick time.Duration, speed float64) braked {
	r := paneRig()
	r.Clock.Tick = tick
	r.Encoder.NoiseDeg = 0
	r.Load.StartMM, r.Load.StartSpeedMMS = 600, speed
	p := New(r, 1)
	lowest := 600.0
	for range int(600 * time.Millisecond / tick) {
		p.Step(Command{Mode: Off, CloseBrake: true})
		lowest = min(lowest, p.LoadMM())
	}
	s := p.State()
	return braked{sag: 600 - p.LoadMM(), distance: 600 - lowest, slip: s.SlipRad, work: s.SlipWorkJ}
}

// At 250 µs sag, slip path, slip work and stopping distance of a braked fall are within
// 1e-3 of a tick of 2 µs: what the friction element must hold.
func TestBrakedFallHasConverged(t *testing.T) {
	for _, speed := range []float64{0, -150} {
		coarse, fine := brakedFall(250*time.Microsecond, speed), brakedFall(2*time.Microsecond, speed)
		require.Positive(t, fine.slip)
		require.InEpsilon(t, fine.sag, coarse.sag, 1e-3)
		require.InEpsilon(t, fine.distance, coarse.distance, 1e-3)
		require.InEpsilon(t, fine.slip, coarse.slip, 1e-3)
		require.InEpsilon(t, fine.work, coarse.work, 1e-3)
	}
}

// A tick allocates nothing.
func TestTickAllocatesNothing(t *testing.T) {
	p := New(paneRig(), 1)
	for _, c := range []Command{{Mode: Hold}, {Mode: Press, PressTorqueNM: -3, PressRateNMS: 10, CloseBrake: true}, {Mode: Off}} {
		require.Zero(t, testing.AllocsPerRun(1000, func() {
			p.Sample()
			p.Step(c)
		}))
	}
}

// A run is a pure function of rig and seed: the same seed gives the
// same readings, another one others, and a clone goes on as its original would have.
func TestSeedAndClone(t *testing.T) {
	r := paneRig()
	r.Drive.CurrentNoiseRMSA = 0.01
	p, same, other := New(r, 7), New(r, 7), New(r, 8)
	differs := false
	both := func(p, q *Plant, c Command) {
		require.Equal(t, p.Sample(), q.Sample())
		p.Step(c)
		q.Step(c)
		require.Equal(t, *p.State(), *q.State())
	}
	for range 500 {
		c := Command{Mode: Move, TargetMM: 260}
		before := p.Clone()
		differs = differs || before.Sample() != other.Sample()
		other.Step(c)
		both(p, same, c)
	}
	require.True(t, differs)
	clone := p.Clone()
	run(clone, Command{Mode: Off}, 100*time.Millisecond) // must not touch the original
	clone = p.Clone()
	for range 500 {
		both(p, clone, Command{Mode: Press, PressTorqueNM: -3, PressRateNMS: 30, CloseBrake: true})
	}
	require.Equal(t, p.Sample(), clone.Sample())
	run(same, Command{Mode: Press, PressTorqueNM: -3, PressRateNMS: 30, CloseBrake: true}, 125*time.Millisecond)
	require.Equal(t, *p.State(), *same.State())
}
