package identify

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant"
	"holdbench/plant/recording"
)

// identified is the result of manoeuvres on the plant, and its values by path or name.
func identified(t *testing.T, truth, guess plant.Rig, o Options, phases ...[]phase) (*Result, map[string]Value) {
	t.Helper()
	var list []*recording.Recording
	for i, p := range phases {
		list = append(list, recorded(&truth, uint64(i+1), p))
	}
	result, err := Identify(t.Context(), list, &guess, o)
	require.NoError(t, err)
	found := map[string]Value{}
	for _, v := range result.Values {
		found[key(&v)] = v
	}
	return result, found
}

// holds says that an interval holds a value, or nearly.
func holds(t *testing.T, want float64, v Value) {
	t.Helper()
	assert.Equal(t, Fitted, v.Standing, key(&v))
	reach := (v.High - v.Low) / 4
	assert.True(t, v.Low-reach <= want && want <= v.High+reach, "%s: want %g, found %g from %g to %g", key(&v), want, v.Value, v.Low, v.High)
}

// A drive that assumes a wrong torque constant shows a wrong mass. The weighed mass tells the constant, and with it
// every torque.
func TestWeighedMassTellsTorqueConstant(t *testing.T) {
	truth := screwAxis()
	guess := truth
	guess.Motor.TorqueConstant = 1.0
	result, found := identified(t, truth, guess, Options{}, manoeuvres(&truth))
	assert.Equal(t, NotDetermined, found["motor.torque_constant_nm_per_rms_a"].Standing)
	assert.Equal(t, byMass, found["motor.torque_constant_nm_per_rms_a"].By)
	assert.InEpsilon(t, 180/1.1, found["load.mass_kg"].Value, 0.002, "all torques are too small by the constant")
	assert.InEpsilon(t, 1.0, result.Ratio.NMPerRMSA, 1e-9)

	result, found = identified(t, truth, guess, Options{MassKG: 180}, manoeuvres(&truth))
	holds(t, 1.1, found["motor.torque_constant_nm_per_rms_a"])
	holds(t, 0.08, found["guide.sliding_nm"])
	assert.InEpsilon(t, 0.0012, found["motor.inertia_kg_m2"].Value, 0.01)
	assert.True(t, result.Ratio.Weighed)
	load := found["load torque at 200 mm"]
	assert.Equal(t, Weighed, load.Standing, "it follows from the mass that was weighed")
	assert.InEpsilon(t, plant.Derive(&truth).HoldingCurrentRMSA, result.Ratio.HoldingRMSA, 0.002)
}

// A gain of the transducer cannot be told from the torque constant; the ratio of load torque and holding current as it
// is read holds for both.
func TestRatioCancelsGain(t *testing.T) {
	truth := screwAxis()
	truth.Drive.CurrentGain = 0.96
	guess := screwAxis()
	result, _ := identified(t, truth, guess, Options{MassKG: 180}, manoeuvres(&truth))
	assert.InEpsilon(t, 1.1/0.96, result.Ratio.NMPerRMSA, 0.002, "the current that is read is 0.96 of the true one")
}

// The losses of the transmission follow the load and the friction of the guide does not: two payloads tell them apart.
func TestTwoLoadsTellEfficiency(t *testing.T) {
	truth := screwAxis()
	truth.Transmission.Efficiency = 0.9
	guess := screwAxis()
	one := recorded(&truth, 1, manoeuvres(&truth))
	loaded := truth
	loaded.Load.PayloadKG, loaded.Load.PayloadMostKG = 90, 90
	other := recorded(&loaded, 2, manoeuvres(&truth))
	other.Source = "loaded.csv"

	result, err := Identify(t.Context(), []*recording.Recording{one, other}, &guess, Options{})
	require.NoError(t, err)
	assert.Len(t, result.Closed, 2)
	for _, v := range result.Values {
		switch v.Path {
		case "transmission.efficiency":
			holds(t, 0.9, v)
		case "guide.sliding_nm":
			holds(t, 0.08, v)
		}
	}
	result, err = Identify(t.Context(), []*recording.Recording{one}, &guess, Options{})
	require.NoError(t, err)
	for _, v := range result.Values {
		if v.Path == "transmission.efficiency" {
			assert.Equal(t, NotDetermined, v.Standing)
			assert.Equal(t, byTwoLoads, v.By)
		}
	}
}

// A brake that slips tells its torque; one that holds tells a lower bound.
func TestSlipTellsBreakaway(t *testing.T) {
	truth := screwAxis()
	_, found := identified(t, truth, screwAxis(), Options{}, manoeuvres(&truth))
	held := found["brake.static_nm"]
	assert.Equal(t, AtLeast, held.Standing)
	assert.Less(t, held.Value, plant.Derive(&truth).RequiredTestNM, "less the friction of the guide, which may have carried its part")
	assert.Greater(t, held.Value, 0.9*plant.Derive(&truth).RequiredTestNM)

	worn := truth
	worn.Brake.Condition = 0.35 // 3.15 N·m
	_, found = identified(t, worn, screwAxis(), Options{}, manoeuvres(&truth))
	slipped := found["brake.static_nm"]
	assert.Equal(t, Fitted, slipped.Standing)
	assert.LessOrEqual(t, slipped.Low, 0.35*9+0.05)
	assert.GreaterOrEqual(t, slipped.High, 0.35*9-0.05)
}

// The rig that is written has the stiffness that was found: its deflection is at its own static torque, which is that of a
// slip where there is one. A brake in a condition of 0.35 slips at 0.35 times its rated torque.
func TestWindUpIsAtTheStaticTorqueThatIsFound(t *testing.T) {
	truth := screwAxis()
	truth.Brake.Condition = 0.35
	for condition, rated := range map[float64]float64{1: 0.35 * truth.Brake.StaticNM, 0.35: truth.Brake.StaticNM} {
		rig := screwAxis()
		rig.Brake.Condition = condition
		_, found := identified(t, truth, rig, Options{}, manoeuvres(&truth))
		static := found["brake.static_nm"]
		require.Equal(t, Fitted, static.Standing)
		assert.InEpsilon(t, rated, static.Value, 0.05)
		written := rig
		written.Brake.StaticNM, written.Brake.WindUpDeg = static.Value, found["brake.wind_up_deg"].Value
		assert.InEpsilon(t, found["stiffness of the brake"].Value, plant.Derive(&written).BrakeStiffness, 1e-9)
	}
}

// A friction from rest that no press told is at least that in motion, and says so.
func TestBreakawayOfTheGuideHasALowerBound(t *testing.T) {
	truth := screwAxis()
	_, found := identified(t, truth, screwAxis(), Options{}, manoeuvres(&truth)[:6])
	bound := found["guide.breakaway_nm"]
	require.Equal(t, AtLeast, bound.Standing)
	assert.InEpsilon(t, truth.Guide.SlidingNM, bound.Value, 0.05)
	assert.LessOrEqual(t, bound.Value, truth.Guide.BreakawayNM)
	assert.Contains(t, bound.Source, "guide.sliding_nm")
	assert.Equal(t, bySlowPress, bound.By)
}

// A brake that slips in a press lets the axis run by many turns, which is no spring: stiffness and play are those of
// the press until then, and what the guide carried is no torque of the brake.
func TestSlipEndsThePress(t *testing.T) {
	truth := screwAxis()
	truth.Brake.StaticNM, truth.Brake.SlidingNM, truth.Brake.PlayDeg = 6, 4.5, 0.25
	truth.Guide.SlidingNM, truth.Guide.BreakawayNM = 0.2, 0.3
	press := func(nm float64) plant.Command {
		return plant.Command{Mode: plant.Press, PressTorqueNM: nm, PressRateNMS: 4, CloseBrake: true}
	}
	all := manoeuvres(&truth)
	phases := append(append([]phase{}, all[:6]...), phase{2 * time.Second, press(6), PressUp}, phase{4 * time.Second, press(-6), PressDown})
	_, found := identified(t, truth, screwAxis(), Options{}, phases)
	static := found["brake.static_nm"]
	assert.Equal(t, Fitted, static.Standing)
	assert.InDelta(t, 6, static.Value, 0.15, "less what the guide carried")
	assert.LessOrEqual(t, static.Low, 6.0)
	assert.GreaterOrEqual(t, static.High, 6.0)
	assert.InEpsilon(t, plant.Derive(&truth).BrakeStiffness, found["stiffness of the brake"].Value, 0.2)
	assert.InDelta(t, 0.25, found["brake.play_deg"].Value, 0.05)
}

// A step of the commanded current in a recording of the drive's rate tells the time constant of the current loop. The
// drive steps where it is switched off under load.
func TestStepTellsCurrentLag(t *testing.T) {
	truth := screwAxis()
	truth.Drive.CurrentLag = 3 * time.Millisecond
	truth.Clock.FunctionalScan = 250 * time.Microsecond
	guess := screwAxis()
	all := manoeuvres(&truth)
	for i := range all { // the torque of the press goes in a step, as a drive may be told to
		all[i].command.PressRateNMS = 0
	}
	_, found := identified(t, truth, guess, Options{}, append(append([]phase{}, all[:3]...), all[6:10]...))
	holds(t, 0.003, found["drive.current_lag"])
	assert.InEpsilon(t, 0.003, found["drive.current_lag"].Value, 0.1)
}

// What a recording cannot tell is said, with the manoeuvre that would tell it.
func TestNotDetermined(t *testing.T) {
	truth := screwAxis()
	all := manoeuvres(&truth)
	for _, c := range []struct {
		name   string
		phases []phase
		told   []string
		not    map[string]string
	}{
		{
			"travel up alone", []phase{all[0], all[1]}, []string{"inertia at the motor shaft"},
			map[string]string{"load.mass_kg": byTravel, "guide.sliding_nm": byTravel, "motor.inertia_kg_m2": byTravel, "brake.wind_up_deg": byPress, "brake.rise_time": byFastStop},
		},
		{
			"one speed", all[:3], []string{"load.mass_kg", "inertia at the motor shaft"},
			map[string]string{"guide.viscous_nm_s": byTwoSpeeds, "brake.play_deg": byPress},
		},
		{
			"press down alone", append(append([]phase{}, all[:5]...), all[6], all[7]), []string{"load.mass_kg", "brake.wind_up_deg"},
			map[string]string{"brake.play_deg": byPress, "brake.response_delay": byStop},
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, found := identified(t, truth, screwAxis(), Options{}, c.phases)
			for _, name := range c.told {
				assert.NotEqual(t, NotDetermined, found[name].Standing, name)
			}
			for name, by := range c.not {
				assert.Equal(t, NotDetermined, found[name].Standing, name)
				assert.Truef(t, strings.HasPrefix(found[name].By, by), "%s: %s", name, found[name].By)
				assert.True(t, math.IsNaN(found[name].Value), "nothing is invented for %s", name)
			}
		})
	}
}

// A counterbalance that the rig does not know makes the load torque change along the travel. The residuals
// hang together, and a warning says so.
func TestWrongModelWarns(t *testing.T) {
	truth := screwAxis()
	truth.Load.CounterbalanceN, truth.Load.CounterbalanceNPerMM = 600, -0.5
	result, _ := identified(t, truth, screwAxis(), Options{}, manoeuvres(&truth))
	require.NotEmpty(t, result.Warnings)
	assert.Contains(t, result.Warnings[0], "motion")

	result, _ = identified(t, truth, truth, Options{}, manoeuvres(&truth))
	assert.Empty(t, result.Warnings, "with the counterbalance in the rig the model is right")
}

// A current that was recorded late is found and said; it does not bias the inertia.
func TestLateCurrentIsFound(t *testing.T) {
	truth := screwAxis()
	rec := recorded(&truth, 1, manoeuvres(&truth)[:5])
	current := rec.Channels[1].Values
	copy(current[2:], append([]float64(nil), current...))
	result, err := Identify(t.Context(), []*recording.Recording{rec}, &truth, Options{})
	require.NoError(t, err)
	for _, v := range result.Values {
		switch key(&v) {
		case "lateness of the current":
			holds(t, 0.004, v)
		case "inertia at the motor shaft":
			assert.InEpsilon(t, plant.Derive(&truth).InertiaKGM2, v.Value, 0.003)
		}
	}
	require.Len(t, result.Warnings, 1)
	assert.Regexp(t, `^the current seems to be recorded (3\.9|4)\d* ms later than the position, .* --late$`, result.Warnings[0])
}

// Pieces of the user replace those that are found.
func TestGivenPieces(t *testing.T) {
	truth := screwAxis()
	none := map[string][]Piece{"screw.csv": {{Kind: Other, FromS: 0, ToS: 30}}}
	_, err := Identify(t.Context(), []*recording.Recording{recorded(&truth, 1, manoeuvres(&truth))}, &truth, Options{Pieces: none})
	assert.ErrorContains(t, err, "no piece of screw.csv determines a value of the rig")
}

// Recordings that lack what the equations need are refused in words.
func TestRefused(t *testing.T) {
	truth := screwAxis()
	good := func() *recording.Recording {
		return recorded(&truth, 1, []phase{{time.Second, plant.Command{Mode: plant.Hold}, StandstillOpen}})
	}
	for _, c := range []struct {
		name, want string
		change     func(*recording.Recording)
	}{
		{"NoPosition", "screw.csv has no position", func(r *recording.Recording) { r.Channels = r.Channels[1:] }},
		{"NoCurrent", "screw.csv has neither current nor torque", func(r *recording.Recording) { r.Channels = r.Channels[:1] }},
		{"AllNaN", "screw.csv has no position", func(r *recording.Recording) {
			for i := range r.Channels[0].Values {
				r.Channels[0].Values[i] = math.NaN()
			}
		}},
		{"Short", "has 10 samples of its position; must have at least 48", func(r *recording.Recording) {
			r.Time = r.Time[:10]
			for i := range r.Channels {
				r.Channels[i].Values = r.Channels[i].Values[:10]
			}
		}},
		{"StandstillAlone", "no piece of screw.csv determines a value", func(*recording.Recording) {}},
	} {
		t.Run(c.name, func(t *testing.T) {
			rec := good()
			c.change(rec)
			_, err := Identify(t.Context(), []*recording.Recording{rec}, &truth, Options{})
			assert.ErrorContains(t, err, c.want)
		})
	}
}

// A measured torque tells the torque constant within the gain of its transducer. With a weighed mass as well the gain is
// told, and the constant no longer depends on it.
func TestMeasuredTorqueTellsTorqueConstant(t *testing.T) {
	truth := screwAxis()
	guess := truth
	guess.Motor.TorqueConstant = 1.0
	for _, gain := range []float64{1, 1.006} {
		rec := recorded(&truth, 1, manoeuvres(&truth))
		source := rand.New(rand.NewPCG(5, 17))
		torque := recording.Channel{Signal: "torque_motor_nm"}
		for _, amps := range rec.Values("current_rms_a") {
			torque.Values = append(torque.Values, gain*(1.1*amps+0.02*source.NormFloat64()))
		}
		rec.Channels = append(rec.Channels, torque)
		of := func(o Options) map[string]Value {
			result, err := Identify(t.Context(), []*recording.Recording{rec}, &guess, o)
			require.NoError(t, err)
			assert.Empty(t, result.Warnings)
			assert.True(t, result.Ratio.Measured)
			found := map[string]Value{}
			for _, v := range result.Values {
				found[key(&v)] = v
			}
			return found
		}
		found := of(Options{})
		constant := found["motor.torque_constant_nm_per_rms_a"]
		holds(t, 1.1, constant)
		assert.InEpsilon(t, 1.1*gain, constant.Value, 0.001)
		assert.InEpsilon(t, 0.005, constant.Error/constant.Value, 0.05, "the gain decides")
		assert.Contains(t, constant.Source, "torque transducer whose gain is taken as right within 0.5 %")
		holds(t, 180, found["load.mass_kg"])
		assert.Equal(t, NotDetermined, found["gain of the torque transducer"].Standing)
		assert.Equal(t, byTransducer, found["gain of the torque transducer"].By)

		found = of(Options{MassKG: 180})
		constant = found["motor.torque_constant_nm_per_rms_a"]
		holds(t, 1.1, constant)
		assert.Less(t, constant.Error, 0.001)
		holds(t, gain, found["gain of the torque transducer"])
	}
}
