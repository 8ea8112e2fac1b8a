package sizing_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A worked power screw: double square thread of 32 mm, pitch 4 mm, so a lead of 8 mm,
// collar of 40 mm, both frictions 0.08, load 6.4 kN. Raising takes 26.18 N·m, lowering
// 9.77 N·m, the efficiency is 0.311. Source: Shigley's Mechanical Engineering Design, 8th
// and later editions, section 8-2, example 8-1 (figures from memory). Here friction is the
// loss of the efficiency, the same both ways: raising is right to the three digits of the
// efficiency, lowering differs by what the thread's slope makes, 1.2 %.
func TestPowerScrewOfAHandbook(t *testing.T) {
	r := screwRig()
	r.Load.GravityMS2, r.Load.MassKG = 10, 640
	r.Transmission.FeedConstantMMPerTurn, r.Transmission.Efficiency = 8, 0.311
	r.Guide.SlidingNM, r.Guide.BreakawayNM = 0, 0
	r.Brake.StaticNM, r.Drive.CurrentLimitRMSA = 100, 200
	s := compute(t, &r, nil)
	assert.InDelta(t, 6400*0.008/(2*math.Pi), value(t, &s, "load_torque_nm"), 1e-9)
	assert.InEpsilon(t, 26.18, value(t, &s, "lifting_nm"), 2e-3)
	assert.InEpsilon(t, -9.77, value(t, &s, "lowering_nm"), 1.5e-2)
}

// Rack and pinion, τ = F d/(2 i), as motion-sizing handbooks have it (from memory), by
// hand: a pinion of 80 mm behind 10 to 1 holds 420 kg less a counterbalance of 240 kg that
// has lost a tenth: (420 − 216) · 9.80665 = 2000.557 N, times 0.04 m / 10 = 8.002226 N·m.
func TestRackWithCounterbalanceLoss(t *testing.T) {
	r := screwRig()
	r.Load.MassKG, r.Load.CounterbalanceKG = 420, 240
	r.Transmission.FeedConstantMMPerTurn, r.Transmission.GearRatio = 80*math.Pi, 10
	r.Brake.StaticNM, r.Drive.CurrentLimitRMSA = 40, 40
	s := compute(t, &r, map[string]string{"counterbalance-loss": "0.1"})
	assert.InDelta(t, 8.002226, value(t, &s, "load_torque_nm"), 1e-6)
	assert.InDelta(t, 1.3*8.002226, value(t, &s, "required_test_torque_nm"), 2e-6)
	// at the test it may hang on whole, and help the less when pressing down: 180 · 9.80665 · 0.004
	assert.InDelta(t, 7.060788, value(t, &s, "minimum_load_nm"), 1e-6)
	assert.InDelta(t, -(1.3*8.002226 - 7.060788 + 0.12), value(t, &s, "true_down_nm"), 3e-6)
	assert.InDelta(t, 1.3*8.002226+8.002226+0.12, value(t, &s, "true_up_nm"), 3e-6)
}

// The static torque of an arm is the slope of its potential energy, dE/dθ with
// E = m g r sin φ (principle of virtual work), here as a difference over 2 mm of its arc.
// The places are millimetres along the arc, so that dE/ds times the arc a radian of the
// motor, r/n, is the torque.
func TestArmBySlopeOfItsEnergy(t *testing.T) {
	r := armRig()
	s := compute(t, &r, nil)
	height := func(mm float64) float64 { return 0.8 * math.Sin(mm/800-10*math.Pi/180) }
	require.Len(t, s.Travel, 61)
	worst := 0.0
	for _, p := range s.Travel {
		slope := 60 * 9.80665 * (height(p.MM+1) - height(p.MM-1)) / 0.002
		assert.InDelta(t, slope*0.8/80, p.NominalNM, 1e-5, "%g mm", p.MM)
		worst = max(worst, p.NominalNM)
	}
	assert.InDelta(t, 60*9.80665*0.8/80, value(t, &s, "load_torque_nm"), 1e-12, "level")
	assert.GreaterOrEqual(t, value(t, &s, "load_torque_nm"), worst)
	assert.InDelta(t, 10*math.Pi/180*800, value(t, &s, "test_position_mm"), 1e-9, "level is the place to test")
}

// Where an arm cannot be tested level, the press is worked out for where it can: at an
// angle φ it helps by cos φ only (statics), and the test torque stays that of the worst.
func TestArmOffItsWorstPlace(t *testing.T) {
	r := armRig()
	level := 60 * 9.80665 * 0.8 / 80
	at := 800 * (60 + 10) * math.Pi / 180 // 60 degrees up
	r.Stops.HighMM = 1200
	s := compute(t, &r, map[string]string{"test-position-mm": "977.3843811168246"})
	require.InDelta(t, 977.3843811168246, at, 1e-9)
	assert.InDelta(t, level/2, value(t, &s, "nominal_load_nm"), 1e-9)
	assert.InDelta(t, -(1.3*level - level/2 + 0.12), value(t, &s, "true_down_nm"), 1e-9)
	assert.InDelta(t, 1.3*level+level/2+0.12, value(t, &s, "true_up_nm"), 1e-9)
}

// The amplitude of a sine is √2 times its rms, and torque is the constant times rms.
func TestCurrents(t *testing.T) {
	r := screwRig()
	s := compute(t, &r, map[string]string{"torque-constant-tolerance": "0", "current-tolerance": "0", "credit-friction": "true"})
	load := 180 * 9.80665 * 0.01 / (2 * math.Pi)
	assert.InDelta(t, -0.3*load/1.1*math.Sqrt2, value(t, &s, "required_down_a"), 1e-12)
	assert.InDelta(t, 2.3*load/1.1*math.Sqrt2, value(t, &s, "required_up_a"), 1e-12)
	assert.InDelta(t, load/1.1*math.Sqrt2, value(t, &s, "holding_a"), 1e-12)
	assert.InDelta(t, 2.3*load/1.1, line(t, &s, "required_up_a").Also[0].Value, 1e-12)
}
