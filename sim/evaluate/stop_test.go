package evaluate_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sim"
	"holdbench/sim/evaluate"
)

// truth keeps the true place of the load in mm and its speed in rad/s at the motor shaft over time.
type truth struct {
	columns         []sim.Column
	time, mm, speed []float64
}

func (o *truth) Row(row *sim.Row) error {
	o.time = append(o.time, row.TS)
	for i := range o.columns {
		switch c := &o.columns[i]; c.Name {
		case "load_mm":
			o.mm = append(o.mm, c.Number(row))
		case "speed_rad_s":
			o.speed = append(o.speed, c.Number(row))
		}
	}
	return nil
}

// stop is the way in mm and the time in s from a moment to the first at which the shaft is slower than a speed in
// rad/s.
func (o *truth) stop(from, rest float64) (mm, s float64) {
	at := -1
	for i, t := range o.time {
		if t >= from-1e-9 && at < 0 {
			at = i
		}
		if at >= 0 && i > at && math.Abs(o.speed[i]) < rest {
			return math.Abs(o.mm[i] - o.mm[at]), t - o.time[at]
		}
	}
	return math.NaN(), math.NaN()
}

// A loss of power in travel is stopped by the brake alone: way, time and speed are those of the run within what a
// scan of 2 ms and the filter of the measured speed leave open, up and down, with a good brake and a worn one,
// which takes longer. Without the brake's feedback it is the same.
func TestStopByTheBrake(t *testing.T) {
	t.Parallel()
	const demanded, scan = 1.5, 0.002 // s
	down := map[string]string{"rig.load.start_mm": "500", "sequence.test_position_mm": "200"}
	for _, x := range []struct {
		name    string
		set     map[string]string
		least   float64 // mm, which the way must be
		without []string
	}{
		{name: "up", least: 3},
		{name: "up, worn", set: map[string]string{"rig.brake.condition": "0.5"}, least: 3},
		{name: "down", set: down, least: 8},
		{name: "down, worn", set: map[string]string{"rig.load.start_mm": "500", "sequence.test_position_mm": "200", "rig.brake.condition": "0.5"}, least: 12},
		{name: "no feedback", least: 3, without: []string{"brake_closed"}},
	} {
		t.Run(x.name, func(t *testing.T) {
			t.Parallel()
			c := load(t, "testdata/power-lost-in-travel.yaml", x.set)
			r, result := record(t, c, x.without...)
			assert.Equal(t, "power-lost", result.Cause)
			o := &truth{columns: sim.Columns(c.Sequence)}
			_, err := sim.Run(c, o)
			require.NoError(t, err)
			mm, s := o.stop(demanded, c.Rig.Drive.StandstillRPM*2*math.Pi/60)
			f := judged(t, &c.Rig, r).Figures
			require.NotNil(t, f.StoppingMM)
			t.Logf("way %.3f mm, true %.3f; time %.4f s, true %.4f; from %.1f mm/s", *f.StoppingMM, mm, *f.StoppingS, s, *f.StoppingFromMMS)
			assert.Equal(t, evaluate.ByBrake, f.StoppingBy)
			assert.InEpsilon(t, c.Rig.Drive.SpeedMMS, *f.StoppingFromMMS, 0.05)
			assert.InDelta(t, mm, *f.StoppingMM, c.Rig.Drive.SpeedMMS*scan/2)
			assert.InDelta(t, s, *f.StoppingS, scan+5*c.Rig.Drive.SpeedFilter.Seconds()) // e^-5 of the speed is none
			assert.Greater(t, mm, x.least)
		})
	}
}
