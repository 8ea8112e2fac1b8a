package identify

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant/identify/leastsquares"
	"holdbench/plant/recording"
)

// A current or a position of the wrong sign is refused by name, with the remedy in the words of the command.
func TestReversedSign(t *testing.T) {
	truth := screwAxis()
	for signal, want := range map[string]string{
		"current_rms_a": "the current of screw.csv has the opposite sign of the position: friction and inertia come out below 0; must be positive upwards, as with --columns current_rms=-COLUMN",
		"position_mm":   "the position of screw.csv has the opposite sign of the current",
	} {
		rec := recorded(&truth, 1, manoeuvres(&truth)[:6])
		for _, c := range rec.Channels {
			for i := range c.Values {
				if c.Signal == signal {
					c.Values[i] = -c.Values[i]
				}
			}
		}
		for _, mass := range []float64{0, 180} {
			_, err := Identify(t.Context(), []*recording.Recording{rec}, &truth, Options{MassKG: mass})
			assert.ErrorContains(t, err, want)
		}
	}
}

// A brake that held more than the rig has contradicts the rig. Residuals of a model that is right are like noise.
func TestWarnings(t *testing.T) {
	truth, weak := screwAxis(), screwAxis()
	weak.Brake.StaticNM, weak.Brake.SlidingNM = 3, 2.5
	result, _ := identified(t, truth, weak, Options{}, manoeuvres(&truth))
	require.Len(t, result.Warnings, 2)
	assert.Regexp(t, `^values differ from those of the rig: brake\.sliding_nm 7\.5\d* N·m \(rig 2\.5\)`, result.Warnings[1])
	assert.Regexp(t, `^the rig contradicts the recording: brake\.static_nm of the rig is 3 N·m, and the brake held 3\.\d+ N·m without a slip$`, result.Warnings[0])

	truth.Drive.CurrentNoiseRMSA = 0.02
	result, _ = identified(t, truth, screwAxis(), Options{}, manoeuvres(&truth))
	assert.False(t, slices.ContainsFunc(result.Warnings, func(w string) bool { return strings.Contains(w, "residuals") }), result.Warnings)
}

// One speed does not tell friction that is constant from friction in proportion to the speed: what holds 0 is not
// given as a value.
func TestOneSpeed(t *testing.T) {
	truth := screwAxis()
	phases := manoeuvres(&truth)[:3]
	for i := range phases { // no ramp is recorded
		phases[i].command.SpeedMMS = min(phases[i].command.SpeedMMS, 20)
		phases[i].time *= 5
	}
	_, found := identified(t, truth, screwAxis(), Options{}, phases)
	v := found["guide.sliding_nm"]
	if v.Standing == Fitted {
		assert.Positive(t, v.Low)
		return
	}
	require.Equal(t, NotDetermined, v.Standing)
	assert.Equal(t, byTwoSpeeds, v.By)
}

// A fit that ended away from the minimum is not shown as one that is there.
func TestFitAwayFromItsMinimum(t *testing.T) {
	for offset, want := range map[float64][]string{
		0.001: nil,
		0.05:  nil, // as at a kink of the braking torque
		2:     {"the fit has not reached a minimum: its values are about 2 times the radius of their confidence region away from it"},
	} {
		var r Result
		r.warnOfFit(&leastsquares.Result{Offset: offset})
		require.Len(t, r.Warnings, len(want), "%v", offset)
		for i := range want {
			assert.Contains(t, r.Warnings[i], want[i])
		}
	}
}
