package sizing_test

import (
	"encoding/json"
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/plant"
	"holdbench/plant/problem"
	"holdbench/plant/sizing"
)

// Bounds that leave no value between them are crossed, and margins that are small are thin,
// each reported on its own line. What the bounds are follows from the line's formula.
func TestBoundsThatCross(t *testing.T) {
	for _, c := range []struct {
		name        string
		change      func(*plant.Rig)
		assumptions map[string]string
		crossed     string // start of the text
		thin        string
	}{
		{name: "brake below the test torque", change: func(r *plant.Rig) { r.Brake.StaticNM = 4.5 }, crossed: "required test torque: 3.652 N·m; must be at most 3.6 N·m: the guaranteed torque of the brake"},
		{name: "brake that a strong press slips", change: func(r *plant.Rig) { r.Brake.StaticNM = 6 }, crossed: "maximum at the brake: "},
		{name: "drive too small for pressing up", change: func(r *plant.Rig) { r.Drive.CurrentLimitRMSA = 6.5 }, crossed: "press torque, up: "},
		{name: "drive too small for pressing down", change: lightGate(6.4), assumptions: map[string]string{"minimum-load-kg": "1"}, crossed: "press torque, down: "},
		{name: "drive that hardly presses down", change: lightGate(7), assumptions: map[string]string{"minimum-load-kg": "1"}, thin: "press torque, down: margin of only "},
		{name: "drive that leaves no room for a ceiling", change: func(r *plant.Rig) { r.Drive.CurrentLimitRMSA = 6.95 }, crossed: "ceiling: "},
		{name: "mechanics that cannot take the press", assumptions: map[string]string{"mechanical-limit-nm": "8"}, crossed: "ceiling: "},
		{name: "motor that can hardly", assumptions: map[string]string{"motor-peak-nm": "8.8"}, thin: "ceiling: margin of only "},
		{name: "window tighter than noise", assumptions: map[string]string{"undetected-mm": "0.001"}, crossed: "window: "},
		{name: "window hardly wider than noise", assumptions: map[string]string{"undetected-mm": "0.005"}, thin: "window: margin of only "},
		{name: "half a turn is the most", assumptions: map[string]string{"undetected-mm": "100"}, change: func(r *plant.Rig) { r.Encoder.NoiseDeg = 40 }, crossed: "window: "},
		{name: "creep slower than any dwell sees", assumptions: map[string]string{"creep-mm-s": "1e-6"}, crossed: "slowest detected creep: "},
		{name: "press too slow for any deadline", assumptions: map[string]string{"press-rate-nm-s": "0.001"}, crossed: "deadline: "},
		{name: "run longer than any", assumptions: map[string]string{"press-rate-nm-s": "0.004"}, crossed: "maximum run time: "},
		{name: "proof over before its test", assumptions: map[string]string{"interval": "1s"}, crossed: "interval: "},
		{name: "press margin below noise", assumptions: map[string]string{"press-margin": "1.03"}, crossed: "press margin: "},
		{name: "credited friction", assumptions: map[string]string{"credit-friction": "true"}, thin: "credited friction: "},
		{name: "test position at a stop", assumptions: map[string]string{"test-position-mm": "1199"}, thin: "test position: less than 25 mm from a stop"},
		{name: "dwell of a moment", assumptions: map[string]string{"dwell": "50ms"}, thin: "dwell: fewer than 10"},
		{name: "magnitude", change: func(r *plant.Rig) { r.Judge.Sense = plant.SenseMagnitude }, thin: "holding current: judge.sense is magnitude"},
		{name: "minimum load that rises", change: func(r *plant.Rig) { r.Load.CounterbalanceKG = 100 }, assumptions: map[string]string{"minimum-load-kg": "80"}, thin: "minimum load torque: the minimum load rises by itself"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := screwRig()
			if c.change != nil {
				c.change(&r)
			}
			s := compute(t, &r, c.assumptions)
			starts := func(list []string, text string) bool {
				for _, one := range list {
					if strings.HasPrefix(one, text) {
						return true
					}
				}
				return text == ""
			}
			assert.True(t, starts(s.Crossed, c.crossed), "%q", s.Crossed)
			assert.True(t, starts(s.Thin, c.thin), "%q", s.Thin)
			if c.crossed == "" {
				assert.Empty(t, s.Crossed)
			}
		})
	}
	r := screwRig()
	quickBrake(&r)
	s := compute(t, &r, nil)
	assert.Empty(t, s.Findings)
	assert.Empty(t, s.Crossed)
	assert.Empty(t, s.Thin)
}

// lightGate is a gate whose counterbalance pulls up all that is not there of the load: it is
// pressed down harder than up, with a drive of so many A rms.
func lightGate(limit float64) func(*plant.Rig) {
	return func(r *plant.Rig) {
		r.Load.CounterbalanceKG, r.Brake.StaticNM, r.Drive.CurrentLimitRMSA = 170, 60, limit
	}
}

// Ceiling and torque limit leave room for whichever press is the larger (a healthy press must
// not be stopped): with a load that may rise it is the one down. The ceiling is above a press
// with its noise, which the judge reads as commanded from the drive's transducer, and too high by
// what both can be wrong from one of its own.
func TestTheLargerPressSetsCeilingAndLimit(t *testing.T) {
	for name, change := range map[string]func(*plant.Rig){"Down": lightGate(18), "Up": func(*plant.Rig) {}} {
		t.Run(name, func(t *testing.T) {
			r := screwRig()
			change(&r)
			assumptions := map[string]string{"current-tolerance": "0.03", "press-margin": "1.1"}
			if name == "Down" {
				assumptions["minimum-load-kg"] = "1"
			}
			shared := compute(t, &r, assumptions)
			r.Judge.Transducer, r.Judge.CurrentNoiseRMSA = plant.TransducerOwn, r.Drive.CurrentNoiseRMSA
			s := compute(t, &r, assumptions)
			require.Empty(t, s.Crossed)
			down, up := -value(t, &s, "press_down_nm"), value(t, &s, "press_up_nm")
			require.Equal(t, name == "Down", down > up)
			larger := math.Max(down, up)
			const own = 1.03 / 0.97
			assert.GreaterOrEqual(t, value(t, &s, "ceiling_min_nm"), larger*own)
			assert.Less(t, value(t, &s, "ceiling_min_nm"), larger*own*1.02, "the noise is small")
			assert.Greater(t, value(t, &s, "ceiling_nm"), larger*own)
			assert.GreaterOrEqual(t, value(t, &shared, "ceiling_min_nm"), larger)
			assert.Less(t, value(t, &shared, "ceiling_min_nm"), larger*1.02)
			assert.GreaterOrEqual(t, value(t, &s, "press_limit_nm"), larger)
			assert.LessOrEqual(t, value(t, &s, "press_limit_nm"), 1.1*larger+1e-9)
		})
	}
}

// An arm that cannot be level weighs its most at a stop, where it cannot be tested.
func TestArmThatIsNeverClearOfItsWorst(t *testing.T) {
	r := armRig()
	r.Load.ArmAngleDeg = 30
	r.Stops.HighMM, r.Load.StartMM = 800, 100
	s := compute(t, &r, map[string]string{"clearance-mm": "60"})
	assert.Contains(t, strings.Join(s.Thin, "\n"), "test position: the worst case does not occur at any position clear")
	assert.InDelta(t, 80, value(t, &s, "test_position_mm"), 1e-9, "60 mm above the support at 20")
	assert.Zero(t, value(t, &s, "maximum_position_mm"))
}

// Times add up (the order of a tick, and the link's delay in safety scans): at 8 ms and one
// scan of delay a signal takes at most 16 ms one way, and the way there and back 16 + 8 ms
// and the functional scan of 2 ms.
func TestTimes(t *testing.T) {
	r := screwRig()
	s := compute(t, &r, map[string]string{"margin-scans": "0", "dwell": "803ms"})
	assert.InDelta(t, 0.016, value(t, &s, "signal_delay_s"), 1e-12)
	assert.InDelta(t, 0.026, value(t, &s, "answer_time_s"), 1e-12)
	assert.InDelta(t, 101, value(t, &s, "samples"), 0, "803 ms are over after 101 scans of 8 ms")
	assert.InDelta(t, 0.808, value(t, &s, "dwell_s"), 1e-12)
	down, up := -value(t, &s, "press_down_nm"), value(t, &s, "press_up_nm")
	assert.InDelta(t, (down+up)/10, value(t, &s, "ramp_up_s"), 1e-8)
	press := (down+up)/10 + 5*0.001
	assert.InDelta(t, press, value(t, &s, "press_time_s"), 1e-8)
	assert.InDelta(t, math.Ceil((press+0.808+0.008)*10)/10, value(t, &s, "deadline_s"), 1e-12)
	r.Clock.LinkDelayScans = 3
	s = compute(t, &r, map[string]string{"margin-scans": "2"})
	assert.InDelta(t, 0.032+0.024+0.002+0.016, value(t, &s, "answer_time_s"), 1e-12)
}

// A creep that is to be caught sets the dwell: it leaves the window within it, and would
// not within a scan less.
func TestCreepSetsTheDwell(t *testing.T) {
	r := screwRig()
	for _, creep := range []float64{0.001, 0.01, 0.3} {
		s := compute(t, &r, map[string]string{"creep-mm-s": strconv.FormatFloat(creep, 'g', -1, 64)})
		dwell, window := value(t, &s, "dwell_s"), value(t, &s, "window_deg")
		perTurn := 10.0 / 360 // mm a degree
		increment := 360.0 / 16384
		out := (math.Floor(window/increment) + 1) * increment * perTurn
		assert.GreaterOrEqual(t, creep*dwell*(1+1e-9), out)
		assert.Less(t, creep*(dwell-0.008), out)
		assert.LessOrEqual(t, line(t, &s, "creep_deg_s").Also[0].Value, creep*(1+1e-9))
	}
}

// What can be sized has finite figures in the order of their bounds, the settings read as
// numbers or times, and the whole of it goes into JSON; what cannot be has a reason.
func TestAnyRigIsSizedOrRefused(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := screwRig()
		if rapid.Bool().Draw(t, "arm") {
			r = armRig()
		}
		r.Load.MassKG = rapid.Float64Range(1e-3, 1e5).Draw(t, "mass")
		r.Encoder.NoiseDeg = rapid.Float64Range(0, 90).Draw(t, "noise")
		r.Encoder.IncrementsPerTurn = float64(rapid.Int64Range(4, 1<<32).Draw(t, "increments"))
		r.Motor.TorqueConstant = rapid.Float64Range(1e-4, 1e3).Draw(t, "k")
		if r.Load.ArmMM == 0 {
			r.Load.CounterbalanceKG = rapid.Float64Range(0, 1e5).Draw(t, "counter")
			r.Load.InclineDeg = rapid.Float64Range(0, 90).Draw(t, "incline")
		}
		w := sizing.DefaultAssumptions(&r, referenceParams())
		w.MaximumLoadKG *= rapid.Float64Range(1, 3).Draw(t, "heavier")
		w.MinimumLoadKG *= rapid.Float64Range(0.01, 1).Draw(t, "lighter")
		w.FalseAlarmRate = math.Pow(10, -rapid.Float64Range(1, 12).Draw(t, "digits"))
		if rapid.Bool().Draw(t, "creeps") {
			w.CreepMMS = math.Pow(10, rapid.Float64Range(-9, 5).Draw(t, "creep"))
		}
		s, err := sizing.Compute(&r, referenceParams(), w)
		pulls := false // with any load that may be on it, at an end or level between them
		for _, kg := range []float64{w.MinimumLoadKG, w.MaximumLoadKG} {
			heavy := r
			heavy.Load.MassKG = kg
			pulls = pulls || plant.Derive(&heavy).LoadTorqueNM > 1e-9
		}
		if err != nil {
			require.False(t, pulls, problem.Of(err)[0].Message)
			return
		}
		if len(s.Crossed) == 0 {
			for _, bounded := range []string{"window", "ceiling"} {
				unit := map[string]string{"window": "_deg", "ceiling": "_nm"}[bounded]
				low, _ := s.Line(bounded + "_min" + unit)
				high, _ := s.Line(bounded + "_max" + unit)
				between, _ := s.Line(bounded + unit)
				require.LessOrEqual(t, low.Value, between.Value, bounded)
				require.LessOrEqual(t, between.Value, high.Value, bounded)
			}
		}
		_, err = json.Marshal(s) // refuses what is not finite
		require.NoError(t, err)
		for _, one := range s.Settings {
			if _, err := strconv.ParseFloat(one.Value, 64); err != nil {
				_, err = time.ParseDuration(one.Value)
				require.NoError(t, err, "%+v", one)
			}
		}
		require.Len(t, s.Sections, 9)
		window, _ := s.Line("window_deg")
		require.Positive(t, window.Value)
	})
}
