package sizing_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant/sizing"
)

// Alarms of independent dwells add up by the rule of the complement: the chance that
// nothing goes wrong in a test is that of its dwells multiplied.
func TestAlarmsOfATestAddUp(t *testing.T) {
	r := screwRig()
	for up, dwells := range map[float64]float64{0: 1, 1: 2} {
		params := referenceParams()
		params["test_up"] = sizing.Param{Name: "test_up", Value: up}
		w := sizing.DefaultAssumptions(&r, params)
		w.FalseAlarmRate = 0.01
		s, err := sizing.Compute(&r, params, w)
		require.NoError(t, err)
		quiet := 1 - 3*value(t, &s, "permitted_alarm_rate") // a third each of three reasons
		assert.InEpsilon(t, 0.99, math.Pow(quiet, dwells), 1e-9)
		assert.LessOrEqual(t, value(t, &s, "alarm_rate"), value(t, &s, "permitted_alarm_rate"))
	}
}

// The least window has room for noise and for the movement after the latch: a movement of
// x increments changes a rounded difference by at most the next whole number. At just the
// least window the rate is kept, one increment below it is not.
func TestLeastWindowHasRoomForNoiseAndDeflection(t *testing.T) {
	r := screwRig()
	r.Encoder.IncrementsPerTurn = 65536
	s := compute(t, &r, nil)
	increment := 360.0 / 65536
	noise := value(t, &s, "noise_deg") / increment
	deflection := value(t, &s, "wind_up_after_latch_deg") / increment
	assert.InDelta(t, 1.495, deflection, 1e-3, "not whole")
	assert.InDelta(t, math.Round(noise)+2, value(t, &s, "window_min_deg")/increment, 1e-9)
	share := value(t, &s, "permitted_alarm_rate")
	assert.LessOrEqual(t, sizing.AlarmRate(0.005/increment, int(math.Round(noise)), 125), share)
	assert.Greater(t, sizing.AlarmRate(0.005/increment, int(math.Round(noise))-1, 125), share)
	r.Judge.WindowDeg = value(t, &s, "window_min_deg") + increment/2
	s = compute(t, &r, nil)
	assert.True(t, line(t, &s, "alarm_rate").Set.Fits)
	r.Judge.WindowDeg -= increment
	s = compute(t, &r, nil)
	assert.False(t, line(t, &s, "alarm_rate").Set.Fits)
}

// What is required now is held against the torque that it makes certain: measured torque
// with a low torque constant and a current measured too high, the load, and the guide taking all it
// can. By hand: 0.843 · 0.95/1.02 + 2.80940 − 0.12 and 6.463 · 0.95/1.02 − 2.80940 − 0.12.
func TestPresentRequirementByTheTorqueThatItAssures(t *testing.T) {
	r := screwRig()
	s := compute(t, &r, nil)
	down, up := line(t, &s, "required_down_nm").Set, line(t, &s, "required_up_nm").Set
	assert.Equal(t, "assures 3.475 N·m at the brake, 95.1 % of the test torque, down", down.Assessment)
	assert.Equal(t, "assures 3.09 N·m at the brake, 84.6 % of the test torque, up", up.Assessment)
	assert.False(t, down.Fits)
	assert.False(t, up.Fits)
	s = compute(t, &r, map[string]string{"torque-constant-tolerance": "0", "current-tolerance": "0", "credit-friction": "true"})
	assert.True(t, line(t, &s, "required_down_nm").Set.Fits, "0.843 N·m were worked out in this way")
}

// At rest the drive carries the load, more or less the friction of the guide, of any load
// that may be on the axis (statics), and what it measures of that is off by as much as
// magnets and current are; the tolerance has a quarter on top.
func TestLoadToleranceCoversGuideAndLoads(t *testing.T) {
	r := screwRig()
	perKG := 9.80665 * 0.01 / (2 * math.Pi)
	s := compute(t, &r, map[string]string{"minimum-load-kg": "100", "maximum-load-kg": "200"})
	const tolerance = 1.02 / 0.95
	assert.InDelta(t, 1.25*(tolerance*(0.12+80*perKG)+(tolerance-1)*180*perKG), value(t, &s, "load_tolerance_nm"), 1e-9)
	s = compute(t, &r, map[string]string{"torque-constant-tolerance": "0", "current-tolerance": "0"})
	assert.InDelta(t, 0.15*180*perKG, value(t, &s, "load_tolerance_nm"), 1e-9, "never less than this share")
}
