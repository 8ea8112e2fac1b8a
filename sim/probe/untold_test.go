package probe_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sequence"
	"holdbench/sim/probe"
)

// mute is a sequence that tells no states but its ends, as a controller outside may.
type mute struct{ sequence.Logic }

func (mute) Untold() bool { return true }

func (l mute) New(scan time.Duration) sequence.Controller {
	return &muteController{Controller: l.Logic.New(scan), about: l.About()}
}

func (l mute) With(values sequence.Values) (sequence.Logic, error) {
	made, err := l.Logic.With(values)
	return mute{made}, err
}

type muteController struct {
	sequence.Controller
	about *sequence.Description
}

func (c *muteController) StateIndex() int {
	if i := c.Controller.StateIndex(); c.about.States[i].End != sequence.EndNone {
		return i
	}
	return c.about.Start
}

func (c *muteController) Scan(in *sequence.Inputs, out *sequence.Outputs) (sequence.Fired, error) {
	f, err := c.Controller.Scan(in, out)
	if !f.OK || c.about.States[f.ToIndex].End == sequence.EndNone {
		return sequence.Fired{}, err
	}
	f.FromIndex, f.From = c.about.Start, c.about.States[c.about.Start].Name
	return f, err
}

func (c *muteController) Copy() (sequence.Controller, bool) {
	copied, ok := c.Controller.Copy()
	return &muteController{copied, c.about}, ok
}

// Of a controller that tells no states only times are known: no routes are searched for, and faults begin at
// eighths of the run.
func TestProbeWithoutStates(t *testing.T) {
	t.Parallel()
	c, _, err := reference(t).WithLogic(mute{reference(t).Logic})
	require.NoError(t, err)
	n, err := probe.NewNominal(c)
	require.NoError(t, err)
	require.True(t, n.Untold)
	explored := 0
	o := few("encoder-frozen", "link-down")
	o.Exploring = func(done, _ int) { explored = done }
	m := run(t, c, o)
	assert.Zero(t, explored)
	assert.Empty(t, m.Unreached)
	var moments []string
	var after []float64
	for _, cell := range m.Outcomes {
		if cell.Fault == "encoder-frozen" && cell.State == "ready" {
			moments, after = append(moments, cell.Moment), append(after, cell.AfterS)
		}
	}
	assert.Equal(t, []string{"entry", "1/8", "2/8", "3/8", "midway", "5/8", "6/8", "7/8", "leaving", "change"}, moments)
	for i, s := range after[:8] {
		assert.InDelta(t, float64(i)/8*n.DurationS, s, 0.01)
	}
	other, err := probe.NewNominal(reference(t))
	require.NoError(t, err)
	require.False(t, other.Untold, "a document knows its states")
}

// It told them after all, if its runs do.
func TestToldStatesCount(t *testing.T) {
	t.Parallel()
	c := reference(t)
	c.Logic = told{c.Logic}
	n, err := probe.NewNominal(c)
	require.NoError(t, err)
	require.False(t, n.Untold)
}

type told struct{ sequence.Logic }

func (told) Untold() bool { return true }
