package sizing_test

import (
	"math"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"

	"holdbench/plant"
)

// The test torque follows the most payload, the press the payload at the test. By hand, with
// g p/(2π n) of the screw rig: the torque of a kilogram.
func TestSizeFollowsTheMostPayload(t *testing.T) {
	r := screwRig()
	kilogram := r.Load.GravityMS2 * r.Transmission.FeedConstantMMPerTurn / 1000 / (2 * math.Pi * r.Transmission.GearRatio)
	r.Load.PayloadKG, r.Load.PayloadMostKG = 10, 60
	s := compute(t, &r, nil)
	own := r.Load.MassKG
	assert.InEpsilon(t, (own+60)*kilogram, value(t, &s, "load_torque_nm"), 1e-12)
	assert.InEpsilon(t, 1.3*(own+60)*kilogram, value(t, &s, "required_test_torque_nm"), 1e-12)
	assert.InEpsilon(t, plant.Derive(&r).RequiredTestNM, value(t, &s, "required_test_torque_nm"), 1e-12)
	assert.InEpsilon(t, (own+10)*kilogram, value(t, &s, "nominal_load_nm"), 1e-12)
	allowance := value(t, &s, "friction_allowance_nm")
	assert.InEpsilon(t, -(1.3*(own+60)-own-10)*kilogram-allowance, value(t, &s, "true_down_nm"), 1e-12)
	assert.InEpsilon(t, (1.3*(own+60)+own+10)*kilogram+allowance, value(t, &s, "true_up_nm"), 1e-12)
	// a test with any payload on the axis, from empty to full
	s = compute(t, &r, map[string]string{"minimum-load-kg": strconv.FormatFloat(own, 'g', -1, 64), "maximum-load-kg": strconv.FormatFloat(own+60, 'g', -1, 64)})
	assert.InEpsilon(t, -(1.3*(own+60)-own)*kilogram-allowance, value(t, &s, "true_down_nm"), 1e-12)
	assert.InEpsilon(t, 2.3*(own+60)*kilogram+allowance, value(t, &s, "true_up_nm"), 1e-12)
}

// Where the counterbalance outweighs the empty axis by more than the full one outweighs it, the
// least payload is the worst.
func TestSizeFollowsTheLeastPayloadUnderACounterbalance(t *testing.T) {
	r := screwRig()
	r.Load.PayloadKG, r.Load.PayloadMostKG = 60, 60
	r.Load.CounterbalanceN = (r.Load.MassKG + 50) * r.Load.GravityMS2
	s := compute(t, &r, nil)
	kilogram := r.Load.GravityMS2 * r.Transmission.FeedConstantMMPerTurn / 1000 / (2 * math.Pi * r.Transmission.GearRatio)
	assert.InEpsilon(t, 50*kilogram, value(t, &s, "load_torque_nm"), 1e-9)
	assert.InEpsilon(t, plant.Derive(&r).RequiredTestNM, value(t, &s, "required_test_torque_nm"), 1e-9)
	assert.InEpsilon(t, 10*kilogram, value(t, &s, "nominal_load_nm"), 1e-9)
}

// Whatever the payloads and the kind of axis, size and truth require the same torque.
func TestSizeAndTruthRequireTheSame(t *testing.T) {
	for name, change := range map[string]func(*plant.Rig){
		"Payload":      func(r *plant.Rig) { r.Load.PayloadKG, r.Load.PayloadMostKG = 10, 80 },
		"GasSpring":    func(r *plant.Rig) { r.Load.CounterbalanceN, r.Load.CounterbalanceNPerMM = 900, -0.2 },
		"Spring":       func(r *plant.Rig) { r.Load.CounterbalanceN, r.Load.CounterbalanceNPerMM = 300, 0.1 },
		"Inertia":      func(r *plant.Rig) { r.Load.InertiaKGM2 = 0.01 },
		"ByDirection":  func(r *plant.Rig) { r.Transmission.Efficiency, r.Transmission.EfficiencyLowering = 0.9, 0.8 },
		"WithASupport": func(r *plant.Rig) { r.Support.AtMM, r.Support.StiffnessNPerMM = 50, 1000 },
	} {
		for kind, r := range map[string]plant.Rig{"screw": screwRig(), "arm": armRig()} {
			change(&r)
			r.Load.CounterbalanceN *= r.Load.MassKG / 180
			s := compute(t, &r, nil)
			assert.InEpsilon(t, plant.Derive(&r).RequiredTestNM, value(t, &s, "required_test_torque_nm"), 1e-9, "%s %s", name, kind)
		}
	}
}

// Slow moves by hand: the screw rig with η 0.9 up and 0.8 down.
func TestSizeTakesTheEfficiencyByDirection(t *testing.T) {
	r := screwRig()
	r.Transmission.Efficiency, r.Transmission.EfficiencyLowering = 0.9, 0.8
	s := compute(t, &r, nil)
	load := value(t, &s, "load_torque_nm")
	assert.InEpsilon(t, load/0.9+r.Guide.SlidingNM, value(t, &s, "lifting_nm"), 1e-12)
	assert.InEpsilon(t, load*0.8-r.Guide.SlidingNM, value(t, &s, "lowering_nm"), 1e-12)
}

// A test position is clear of the support of the rig as well as of that of the sequence.
func TestPositionIsClearOfTheSupport(t *testing.T) {
	r := screwRig()
	r.Load.StartMM, r.Support.AtMM, r.Support.StiffnessNPerMM = 500, 410, 1000 // the sequence tests at 420
	s := compute(t, &r, map[string]string{"clearance-mm": "25"})
	assert.InEpsilon(t, 435, value(t, &s, "test_position_mm"), 1e-12)
}
