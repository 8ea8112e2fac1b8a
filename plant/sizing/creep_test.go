package sizing_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant"
)

// The smallest relevant creep by hand: 5 mm at 10 mm a turn are 180 degrees of the motor, in 5
// minutes 0.6 deg/s under the load, and 1.3⁴ = 2.8561 times as much under the test torque: 1.7137
// deg/s. It leaves a window of so many degrees in so many seconds.
func TestRelevantCreepSetsADwell(t *testing.T) {
	r := screwRig()
	s := compute(t, &r, nil)
	assert.InEpsilon(t, 1.71366, value(t, &s, "relevant_creep_deg_s"), 1e-6)
	increment := 360.0 / 16384
	out := value(t, &s, "window_deg")/increment + 0.5 // half an increment in the window is not there
	needed := out * increment / 1.71366
	dwell := value(t, &s, "creep_dwell_s")
	assert.GreaterOrEqual(t, dwell, needed)
	assert.Less(t, dwell, needed+0.008)
	again := compute(t, &r, map[string]string{"factor": "1.5"})
	assert.InEpsilon(t, 0.6*5.0625, value(t, &again, "relevant_creep_deg_s"), 1e-9)
}

// What size asks for is what the plant does: a lining that creeps just too fast, held under the
// test torque for this dwell, moves by at least the window that was sized.
func TestDwellForCreepSeesIt(t *testing.T) {
	r := screwRig()
	s := compute(t, &r, nil)
	r.Encoder.NoiseDeg, r.Drive.CurrentNoiseRMSA = 0, 0
	r.Guide.SlidingNM, r.Guide.BreakawayNM = 0, 0 // the press has an allowance for it
	r.Brake.CreepDegPerS = 200
	d := plant.Derive(&r)
	r.Brake.Condition *= 0.999 * d.RequiredTestNM / d.BrakeCapacityNM // just not sufficient
	p := plant.New(r, 1)
	run := func(c plant.Command, seconds float64) {
		for range int(seconds / r.Clock.Tick.Seconds()) {
			p.Observe()
			p.Step(c)
		}
	}
	press := plant.Command{Mode: plant.Press, PressTorqueNM: d.PressDownNM, PressRateNMS: 50, CloseBrake: true}
	run(plant.Command{Mode: plant.Hold, CloseBrake: true}, 0.2)
	run(press, 1)
	from := p.State().AngleRad
	run(press, value(t, &s, "creep_dwell_s"))
	moved := (from - p.State().AngleRad) * 180 / math.Pi
	require.Greater(t, moved, value(t, &s, "window_deg"))
	require.Less(t, moved, 1.05*value(t, &s, "window_deg")+360.0/16384)
}

// A dwell that is shorter than that is remarked on.
func TestShortDwellIsNotSufficientForCreep(t *testing.T) {
	r := screwRig()
	s := compute(t, &r, nil)
	needed := value(t, &s, "creep_dwell_s")
	for _, c := range []struct {
		dwell float64
		ok    bool
	}{{needed * 0.9, false}, {needed * 1.1, true}} {
		r.Judge.Dwell = time.Duration(c.dwell * float64(time.Second))
		again := compute(t, &r, map[string]string{"dwell": "1s"})
		assert.Equal(t, c.ok, line(t, &again, "creep_dwell_s").Set.Fits)
	}
}
