package sizing_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"holdbench/plant"
)

// A second brake behind 80 to 1 is sized at its own shaft: 80 times the torques of the motor shaft.
// Its spring is seen there with the square of the ratio: half the torque at twice the angle is a
// quarter of the stiffness, and the wind-up four times that of the first brake, whose play is less.
// Each brake is tested in two directions, so that a rate of false alarms is divided among four
// dwells. Source: ideal gear; springs.
func TestSecondBrakeIsSizedAtItsShaft(t *testing.T) {
	r := armRig()
	one := compute(t, &r, nil)
	r.Brake2.Brake, r.Brake2.Place = r.Brake, plant.PlaceLoad
	r.Brake2.StaticNM = 80 * r.Brake.StaticNM / 2
	r.Brake2.WindUpDeg = 2 * r.Brake.WindUpDeg / 80
	r.Brake2.PlayDeg = 0.01
	two := compute(t, &r, nil)

	test := value(t, &two, "required_test_torque_nm")
	assert.InEpsilon(t, 80*test, value(t, &two, "required_brake_2_nm"), 1e-12)
	assert.InEpsilon(t, 80*value(t, &two, "maximum_brake_nm"), value(t, &two, "maximum_brake_2_nm"), 1e-12)
	assert.InEpsilon(t, value(t, &two, "guaranteed_brake_nm")*40, value(t, &two, "guaranteed_brake_2_nm"), 1e-12)
	share := value(t, &two, "maximum_brake_nm") / value(t, &one, "maximum_brake_nm") // a larger margin for more dwells
	assert.InEpsilon(t, 4*share*value(t, &one, "wind_up_deg")+0.8, value(t, &two, "wind_up_deg"), 1e-9)
	assert.Greater(t, value(t, &two, "run_limit_s"), value(t, &one, "run_limit_s"))
	assert.InEpsilon(t, 2, value(t, &one, "permitted_alarm_rate")/value(t, &two, "permitted_alarm_rate"), 1e-3)
	_, found := one.Line("required_brake_2_nm")
	assert.False(t, found, "a rig with one brake has no lines of a second")
}

// A second brake that cannot hold the test torque alone is marked, however strong the first is.
func TestWeakSecondBrakeIsUnsuitable(t *testing.T) {
	r := screwRig()
	r.Brake2.Brake = r.Brake
	r.Brake2.StaticNM = 4
	s := compute(t, &r, nil)
	assert.Negative(t, line(t, &s, "required_brake_2_nm").Margin.Relative)
	assert.Positive(t, line(t, &s, "required_test_torque_nm").Margin.Relative)
}
