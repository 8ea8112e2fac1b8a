package evaluate_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant"
	"holdbench/plant/recording"
	"holdbench/sim/evaluate"
)

// withSignal is a recording with the values of one signal changed.
func withSignal(r *recording.Recording, name string, by func(x float64) float64) *recording.Recording {
	other := *r
	other.Channels = slices.Clone(r.Channels)
	c := other.Channel(name)
	c.Values = slices.Clone(c.Values)
	for i, x := range c.Values {
		c.Values[i] = by(x)
	}
	return &other
}

// The rules of the judge are met, and the recording proves nothing: a requirement that is too weak, or a position that could
// not have shown a brake that slips.
func TestProofsThatAreNotToBeReliedOn(t *testing.T) {
	t.Parallel()
	c := load(t, "healthy-down-and-up", nil)
	r, _ := record(t, c)
	windowMM := c.Rig.Judge.WindowDeg * math.Pi / 180 * plant.Derive(&c.Rig).MMPerRad
	by := func(factor float64) func(float64) float64 { return func(x float64) float64 { return x * factor } }
	for _, x := range []struct {
		name   string
		signal string
		change func(float64) float64
		says   []string // one each
	}{
		{"as it is", "position_mm", by(1), nil},
		{"a requirement that is too weak", "required_current_a", by(0.5), []string{"in the check down, weaker than", "in the check up, weaker than"}},
		{"centimetres taken for millimetres", "position_mm", by(0.1), []string{"in the press up"}},
		{"metres taken for millimetres", "position_mm", by(0.001), []string{"in the press up"}},
		{"steps of the window", "position_mm", func(x float64) float64 { return math.Round(x/windowMM) * windowMM }, []string{"recorded in steps of"}},
		{"a signal that stands still", "position_mm", func(float64) float64 { return 420 }, []string{"the same in all samples"}},
	} {
		t.Run(x.name, func(t *testing.T) {
			e := judged(t, &c.Rig, withSignal(r, x.signal, x.change))
			require.Equal(t, evaluate.Proven, e.Verdict)
			assert.Equal(t, x.says == nil, e.OK())
			for _, text := range x.says {
				assert.True(t, slices.ContainsFunc(e.Reservations, func(s string) bool { return strings.Contains(s, text) }), "%s: %v", text, e.Reservations)
			}
			if x.says == nil {
				assert.Empty(t, e.Reservations)
			}
		})
	}
}

// Times of a brake and of a stop are no figures of a recording that is slower than they are.
func TestSlowRecordingsHaveNoTimesOfTheBrake(t *testing.T) {
	t.Parallel()
	c := load(t, "healthy-down-and-up", nil)
	r, _ := record(t, c)
	require.NotNil(t, judged(t, &c.Rig, r).Figures.ClosingS)
	slow := *r
	slow.Time, slow.Channels = nil, slices.Clone(r.Channels)
	const every = 25 // of 2 ms
	for i := range slow.Channels {
		slow.Channels[i].Values = nil
	}
	for i := 0; i < len(r.Time); i += every {
		slow.Time = append(slow.Time, r.Time[i])
		for k := range slow.Channels {
			slow.Channels[k].Values = append(slow.Channels[k].Values, r.Channels[k].Values[i])
		}
	}
	f := judged(t, &c.Rig, &slow).Figures
	assert.Nil(t, f.ClosingS)
	assert.Nil(t, f.OpeningS)
	assert.Nil(t, f.StoppingMM)
}
