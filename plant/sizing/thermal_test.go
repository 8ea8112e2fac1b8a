package sizing_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant"
)

// hotScrew has a continuous current of 5 A, which carries its load of 2.81 N·m and not its press.
func hotScrew() plant.Rig {
	r := screwRig()
	r.Drive.ContinuousCurrentRMSA, r.Drive.ThermalTime = 5, time.Minute
	return r
}

// Of a thermal node the deviation from holding after each test is that of the test before, decayed,
// and what the test adds: a geometric series,
//
//	ϑ_n = ϑ_h + a (1 − qⁿ)/(1 − q),  q = e^(−T/τ)
//
// with T the time from test to test and a what one test adds. Source: by hand.
func TestThermalLoadOfRepeatedTests(t *testing.T) {
	r := hotScrew()
	s := compute(t, &r, map[string]string{"tests": "7", "test-pause": "4s"})
	kt := r.Motor.TorqueConstant
	share := func(nm float64) float64 { return nm * nm / (kt * kt * 25) }
	holding, down, up := share(value(t, &s, "maximum_load_nm")), share(value(t, &s, "press_down_nm")), share(value(t, &s, "press_up_nm"))
	answer := value(t, &s, "answer_time_s") - 5*r.Clock.SafetyScan.Seconds() // without its margin
	downS := value(t, &s, "ramp_down_s") + answer + 1
	upS := value(t, &s, "ramp_up_s") + answer + 1
	decay := func(seconds float64) float64 { return math.Exp(-seconds / 60) }
	adds := (down-holding)*(1-decay(downS))*decay(upS) + (up-holding)*(1-decay(upS))
	q := decay(downS + upS + 4)
	assert.InEpsilon(t, holding, value(t, &s, "thermal_holding"), 1e-9)
	assert.InEpsilon(t, holding+adds, value(t, &s, "thermal_test"), 1e-9)
	assert.InEpsilon(t, holding+adds*(1-math.Pow(q, 7))/(1-q), value(t, &s, "thermal_repeated"), 1e-9)
}

// Tests in a row that are too many for motor and drive are reported, and the stated pause is the
// shortest that permits any number: on the series above, ϑ_h + a/(1 − q) = 1.
func TestPauseBetweenTests(t *testing.T) {
	r := hotScrew()
	r.Drive.ContinuousCurrentRMSA = 3
	quickBrake(&r)
	s := compute(t, &r, map[string]string{"tests": "100", "test-pause": "1s"})
	assert.Greater(t, value(t, &s, "thermal_repeated"), 1.0)
	assert.Empty(t, s.Crossed)
	require.Len(t, s.Thin, 1)
	assert.Contains(t, s.Thin[0], "thermal load, repeated tests: ")
	pause := value(t, &s, "test_pause_s")
	require.Greater(t, pause, 1.0)
	for _, c := range []struct {
		pause time.Duration
		fits  bool
	}{{time.Duration((pause + 0.1) * 1e9), true}, {time.Duration((pause - 0.2) * 1e9), false}} {
		again := compute(t, &r, map[string]string{"tests": "500", "test-pause": c.pause.String()})
		assert.Equal(t, c.fits, value(t, &again, "thermal_repeated") <= 1, "%v", c.pause)
	}
	r.Drive.ContinuousCurrentRMSA = 2.5 // holding takes 2.55 A
	s = compute(t, &r, nil)
	assert.Greater(t, value(t, &s, "thermal_holding"), 1.0)
	_, ok := s.Line("test_pause_s")
	assert.False(t, ok, "no pause helps a drive that cannot hold")
	r.Drive.ContinuousCurrentRMSA = 0
	s = compute(t, &r, nil)
	_, ok = s.Line("thermal_test")
	assert.False(t, ok, "nothing is limited")
}

// The plant in the same tests is warmed a little less, as its ramps take less than the full
// current.
func TestThermalLoadOnThePlant(t *testing.T) {
	r := hotScrew()
	s := compute(t, &r, map[string]string{"tests": "3", "test-pause": "4s"})
	r.Load.StartMM = value(t, &s, "test_position_mm")
	p := plant.New(r, 1)
	highest := 0.0
	command := func(c plant.Command, seconds float64) {
		for range int(seconds / r.Clock.Tick.Seconds()) {
			p.Observe()
			p.StepBy(&c)
			share, _ := p.ThermalLoad()
			highest = max(highest, share)
		}
	}
	answer := value(t, &s, "answer_time_s") - 5*r.Clock.SafetyScan.Seconds()
	press := func(id, ramp string) {
		command(plant.Command{Mode: plant.Press, CloseBrake: true, PressTorqueNM: value(t, &s, id), PressRateNMS: 10}, value(t, &s, ramp)+answer+1)
	}
	command(plant.Command{Mode: plant.Hold, CloseBrake: true}, 0.3)
	for range 3 {
		press("press_down_nm", "ramp_down_s")
		press("press_up_nm", "ramp_up_s")
		command(plant.Command{Mode: plant.Press, CloseBrake: true, PressTorqueNM: value(t, &s, "maximum_load_nm")}, 4)
	}
	assert.Less(t, highest, value(t, &s, "thermal_repeated"))
	assert.InDelta(t, value(t, &s, "thermal_repeated"), highest, 0.02*3) // half a ramp of 0.8 s at 1.9, of 60 s, three times
}
