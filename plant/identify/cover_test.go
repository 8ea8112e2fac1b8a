package identify

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant"
	"holdbench/plant/recording"
)

// key is what a value is called in the table of truths.
func key(v *Value) string {
	if v.Path == "" {
		return v.Name
	}
	return v.Path
}

// truths are the values with which the recordings were solved.
func (s *solved) truths(t *testing.T) map[string]float64 {
	t.Helper()
	known := map[string]float64{
		fmt.Sprintf("load torque at %.4g mm", s.number(t, "load.start_mm")): s.number(t, "load_torque_nm"),
		"friction with losses":       s.number(t, "friction_nm"),
		"inertia at the motor shaft": s.number(t, "inertia_kg_m2"),
		"stiffness of the brake":     s.number(t, "brake_stiffness_nm_per_rad"),
		"t11 and t12 together":       s.number(t, "brake.response_delay") + s.number(t, "brake.rise_time"),
	}
	for _, path := range []string{
		"load.mass_kg", "guide.sliding_nm", "guide.viscous_nm_s", "motor.inertia_kg_m2", "brake.wind_up_deg", "brake.play_deg",
		"brake.response_delay", "brake.rise_time", "brake.sliding_nm",
	} {
		known[path] = s.number(t, path)
	}
	return known
}

// assumed are the values of which something is assumed beside the noise of the samples, so that their
// intervals are wider than noise alone makes them: that of a command lies anywhere between two samples, and
// here always at one place; the stiffness of the guide is known within a factor.
var assumed = map[string]bool{
	"brake.response_delay": true, "t11 and t12 together": true,
	"stiffness of the brake": true, "brake.wind_up_deg": true, "brake.play_deg": true,
}

// A recording without noise gives the values with which it was solved: what is left is that of a recorder with a sample
// every 2 ms, which sees neither the moment of a command nor a change of current between two samples.
func TestWithoutNoise(t *testing.T) {
	for _, s := range solvedRecordings(t) {
		t.Run(s.Name, func(t *testing.T) {
			r, known := s.guess(t), s.truths(t)
			result, err := Identify(t.Context(), []*recording.Recording{s.recording(sensor{}, 1)}, &r, Options{})
			require.NoError(t, err)
			for i := range result.Values {
				v := &result.Values[i]
				want, is := known[key(v)]
				if !is || v.Standing != Fitted {
					continue
				}
				share := 0.005
				if assumed[key(v)] {
					share = 0.03
				}
				assert.InEpsilon(t, want, v.Value, share, key(v))
				delete(known, key(v))
			}
			assert.NotContains(t, known, "load.mass_kg", "every value of the motion is found")
			assert.NotContains(t, known, "brake.sliding_nm", "and every value of the brake")
		})
	}
}

// tally counts how often intervals hold the true value.
type tally struct{ within, of int }

func (c *tally) share() float64 { return float64(c.within) / float64(c.of) }

// 95 % of the intervals hold the true value: at three levels of noise, each with 200 recordings whose noise
// is drawn anew. Twelve hundred intervals and more a level have a binomial standard error of 0.6 % if they
// were independent; those of one recording are not, and 200 recordings have 1.5 %: the 3 % are two of them.
// Where something is assumed the intervals may hold more. The other axis has fewer recordings.
func TestIntervalsCover(t *testing.T) {
	axes := solvedRecordings(t)
	for _, c := range []struct {
		axis   int
		motion bool // nothing but the motion is taken from the recording
		noise  sensor
	}{
		{0, false, sensor{0.003, 1 << 16, 0.003}},
		{0, false, sensor{0.01, 1 << 14, 0.01}},
		{0, false, sensor{0.03, 1 << 13, 0.03}},
		{1, false, sensor{0.01, 1 << 14, 0.01}},
		{1, true, sensor{0.01, 1 << 14, 0.01}},
	} {
		s := &axes[c.axis]
		trials := []int{200, 80}[c.axis]
		if testing.Short() {
			trials = 40
		}
		t.Run(fmt.Sprintf("%s-%g-deg-%v", s.Name, c.noise.angleDeg, c.motion), func(t *testing.T) {
			t.Parallel()
			exact, wide := cover(t, s, c.noise, c.motion, trials)
			reach := 0.03 * math.Sqrt(200/float64(trials))
			assert.InDelta(t, 0.95, exact.share(), reach, "by noise alone: %d of %d", exact.within, exact.of)
			t.Logf("by noise alone %d of %d, with assumptions %d of %d", exact.within, exact.of, wide.within, wide.of)
			assert.GreaterOrEqual(t, exact.of, 6*trials, "these are told in every recording")
			if wide.of > 0 {
				assert.GreaterOrEqual(t, wide.share(), 0.95-reach, "with assumptions: %d of %d", wide.within, wide.of)
			}
		})
	}
}

func cover(t *testing.T, s *solved, with sensor, motion bool, trials int) (exact, wide tally) {
	t.Helper()
	r, known := s.guess(t), s.truths(t)
	o := Options{}
	if motion {
		delete(known, "t11 and t12 together")
		o.Pieces = s.motionAlone(t, with, &r)
	}
	for seed := range trials {
		result, err := Identify(t.Context(), []*recording.Recording{s.recording(with, uint64(seed))}, &r, o)
		require.NoError(t, err)
		for i := range result.Values {
			v := &result.Values[i]
			want, is := known[key(v)]
			if !is || v.Standing == NotDetermined {
				continue
			}
			count := &exact
			if assumed[key(v)] {
				count = &wide
			}
			count.of++
			if v.Low <= want && want <= v.High {
				count.within++
			}
		}
	}
	return exact, wide
}

// motionAlone are the pieces of a recording without those of the brake.
func (s *solved) motionAlone(t *testing.T, with sensor, r *plant.Rig) map[string][]Piece {
	t.Helper()
	rec := s.recording(with, 0)
	k, err := newTrack(rec, r)
	require.NoError(t, err)
	pieces := find(&k)
	for i := range pieces {
		if !pieces[i].Kind.free() && pieces[i].Kind != StandstillOpen {
			pieces[i].Kind = Other
		}
	}
	return map[string][]Piece{rec.Source: pieces}
}

// Four recordings have half of the error of one, as errors shrink with the square root of the length.
func TestErrorsShrink(t *testing.T) {
	s := solvedRecordings(t)[0]
	r := s.guess(t)
	of := func(n int) map[string]float64 {
		var list []*recording.Recording
		for seed := range n {
			rec := s.recording(sensor{0.01, 1 << 14, 0.01}, uint64(100+seed))
			rec.Source = fmt.Sprintf("%d.csv", seed)
			list = append(list, rec)
		}
		result, err := Identify(t.Context(), list, &r, Options{})
		require.NoError(t, err)
		found := map[string]float64{}
		for _, v := range result.Values {
			found[key(&v)] = v.Error
		}
		return found
	}
	one, four := of(1), of(4)
	for _, name := range []string{"load.mass_kg", "guide.sliding_nm", "guide.viscous_nm_s", "inertia at the motor shaft", "brake.rise_time", "brake.sliding_nm"} {
		assert.InEpsilon(t, 0.5, four[name]/one[name], 0.2, name)
	}
}
