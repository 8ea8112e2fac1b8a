package evaluate_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant"
	"holdbench/plant/recording"
	"holdbench/sim/evaluate"
)

// moved is a recording whose position moves by so much more in deg of the motor shaft, as a function of the time in s.
func moved(rig *plant.Rig, r *recording.Recording, deg func(t float64) float64) *recording.Recording {
	i, mmPerDeg := -1, plant.Derive(rig).MMPerRad*math.Pi/180
	return withSignal(r, "position_mm", func(mm float64) float64 {
		i++
		return mm + deg(r.Time[i])*mmPerDeg
	})
}

// A brake that slips or creeps within the window passes, and the page says so; a brake that holds has no remark.
func TestMovementBelowTheWindowIsRemarkedOn(t *testing.T) {
	t.Parallel()
	c := load(t, "healthy-down-and-up", nil)
	r, _ := record(t, c)
	e := judged(t, &c.Rig, r)
	assert.Empty(t, e.Remarks)
	at := e.Checks[0].FromS + *e.Checks[0].Time.ReachedS + 0.3
	e = judged(t, &c.Rig, moved(&c.Rig, r, func(t float64) float64 {
		if t > at {
			return -0.8 * c.Rig.Judge.WindowDeg
		}
		return 0
	}))
	require.Equal(t, evaluate.Proven, e.Verdict)
	require.Len(t, e.Remarks, 1)
	assert.Regexp(t, `^The shaft moved 1\.\d+ deg in the check down, (7|8)\d(\.\d)? % of the window; .* explain 0\.\d+ deg: the brake slips or creeps\.$`, e.Remarks[0])
}

// Where there is no check, the reason is that of the recording: a brake that creeps out of the window ahead of the press, one
// that is never closed or not pressed, and an ask that was not sent.
func TestWhyADirectionIsNotTested(t *testing.T) {
	t.Parallel()
	c := load(t, "healthy-down-and-up", nil)
	r, _ := record(t, c, "ask")
	sent, _ := record(t, c)
	down := judged(t, &c.Rig, r).Checks[0]
	creeps := func(t float64) float64 { // 0.9 of the window in the check down, and more before the press up
		return -0.9 * c.Rig.Judge.WindowDeg * max(0, t-down.FromS) / (down.ToS - down.FromS)
	}
	constant := func(signal string, value float64) func(*recording.Recording) *recording.Recording {
		return func(r *recording.Recording) *recording.Recording {
			return withSignal(r, signal, func(float64) float64 { return value })
		}
	}
	unpressed := constant("torque_nm", 0)
	for _, x := range []struct {
		name, says string
		recording  *recording.Recording
		directions int // that are not tested
	}{
		{"creeps", `^the shaft had moved [\d.]+ deg under the closed brake, out of the window of 1\.5 deg, before it was pressed in this direction at [\d.]+ s`, moved(&c.Rig, r, creeps), 1},
		{"never closed", "^the brake is never closed in the recording$", constant("brake", 0)(constant("brake_closed", 0)(r)), 2},
		{"not pressed", "^the closed brake was not pressed in this direction$", unpressed(constant("current_rms_a", 0)(constant("judge_current_amp_a", 0)(r))), 2},
		{"not asked", "^no check was asked for in this direction$", constant("ask", 0)(sent), 2},
	} {
		e := judged(t, &c.Rig, x.recording)
		n := 0
		for _, d := range e.Directions {
			if d.Outcome != evaluate.NotTested {
				assert.Empty(t, d.Detail, x.name)
				continue
			}
			n++
			assert.Regexp(t, x.says, d.Detail, x.name)
		}
		assert.Equal(t, x.directions, n, x.name)
	}
}

func reasons(e *evaluate.Evaluation, name string) []string {
	var list []string
	for _, o := range e.Obligations {
		if o.Name == name {
			list = append(list, o.State+": "+o.Why)
		}
	}
	return list
}

// A load drop is measured where the load is to stay: without a closed brake and without the command of the drive there is none,
// not one of 0 mm.
func TestNoLoadDropIsInvented(t *testing.T) {
	t.Parallel()
	c := load(t, "healthy-down-and-up", nil)
	r, _ := record(t, c, "drive", "ask")
	open := func(float64) float64 { return 0 }
	e := judged(t, &c.Rig, withSignal(withSignal(r, "brake", open), "brake_closed", open))
	assert.Nil(t, e.Figures.LoadDropMM)
	assert.Equal(t, []string{"unknown: the brake is never closed in the recording, and drive is not recorded"}, reasons(e, "no-drop"))
	e = judged(t, &c.Rig, r)
	require.NotNil(t, e.Figures.LoadDropMM)
}
