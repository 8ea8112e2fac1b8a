package sim_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sequence"
	"holdbench/sim"
)

// halting is a sequence whose controller stops by itself in its third scan since power came.
type halting struct{ sequence.Logic }

func (h halting) New(scan time.Duration) sequence.Controller {
	return &haltingController{Controller: h.Logic.New(scan)}
}

type haltingController struct {
	sequence.Controller
	scans int
}

func (c *haltingController) Scan(in *sequence.Inputs, out *sequence.Outputs) (sequence.Fired, error) {
	if c.scans++; c.scans >= 3 {
		return sequence.Fired{}, &sequence.Halt{Because: "too much"}
	}
	return c.Controller.Scan(in, out)
}

func (c *haltingController) PowerUp() { c.scans = 0; c.Controller.PowerUp() }

func (c *haltingController) Copy() (sequence.Controller, bool) {
	copied, ok := c.Controller.Copy()
	return &haltingController{copied, c.scans}, ok
}

// The result says when and why the controller stopped by itself, the first time where power lets it do so
// again, and a copy of the run says the same.
func TestControllerStop(t *testing.T) {
	t.Parallel()
	c := load(t, demo, nil)
	c.Logic = halting{c.Logic}
	scan := c.Rig.Clock.FunctionalScan
	b := sim.NewBench(c, nil)
	ticked(b, 8000)
	require.True(t, b.View().Halted)
	require.NoError(t, b.SetButton("power_loss", true))
	ticked(b, 8800)
	require.NoError(t, b.SetButton("power_loss", false))
	ticked(b, 9600)
	require.True(t, b.View().Halted, "again")
	want := &sim.ControllerStop{AtS: 2 * scan.Seconds(), Because: "too much"}
	for _, run := range []*sim.Bench{b, b.Clone()} {
		r, err := run.Result()
		require.NoError(t, err)
		assert.Equal(t, want, r.ControllerStopped)
	}
	assert.Equal(t, "controller stopped at 0.004 s: too much", want.String())
	r, err := sim.Run(load(t, demo, nil), nil)
	require.NoError(t, err)
	assert.Nil(t, r.ControllerStopped)
}

// A study counts the runs, and keeps the first stop.
func TestStopCount(t *testing.T) {
	t.Parallel()
	var n sim.StopCount
	assert.Empty(t, n.Text("of 4 runs"))
	for _, s := range []*sim.ControllerStop{nil, {AtS: 1.5, Because: "a"}, nil, {AtS: 0.5, Because: "b"}} {
		n.Add(s)
	}
	assert.Equal(t, "the controller stopped in 2 of 4 runs, first at 1.500 s: a", n.Text("of 4 runs"))
}
