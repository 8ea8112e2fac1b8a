package sim_test

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sequence"
	"holdbench/sim"
)

// stateless is a controller that sets outputs over time and tells no state.
type stateless struct {
	sequence.Logic
	set func(s float64, out *sequence.Outputs) // s since the start of the run
}

func (l stateless) New(time.Duration) sequence.Controller { return &statelessController{l: l} }

type statelessController struct{ l stateless }

func (c *statelessController) Scan(in *sequence.Inputs, out *sequence.Outputs) (sequence.Fired, error) {
	c.l.set(in.Clock.Seconds(), out)
	return sequence.Fired{}, nil
}

func (c *statelessController) StateIndex() int                   { return c.l.About().Start }
func (c *statelessController) InState() time.Duration            { return 0 }
func (c *statelessController) Cause() string                     { return "" }
func (c *statelessController) Waiting() []sequence.Condition     { return nil }
func (c *statelessController) PowerUp()                          {}
func (c *statelessController) Copy() (sequence.Controller, bool) { return c, true }

// What the plant does is judged from the start of the run, whether the controller tells states or not.
// The trigger comes after 0.5 s; the rig allows a drop of 5 mm.
func TestObligationsNeedNoState(t *testing.T) {
	t.Parallel()
	drop := func(out *sequence.Outputs) { out.Drive = sequence.DriveOff }
	const off, press = "drive off, brake open", "drive press with a torque that does not carry the load, brake open"
	for name, c := range map[string]struct {
		set       func(s float64, out *sequence.Outputs)
		condition string // of the brake
		broken    []string
		commanded string
		class     sim.Class
	}{
		"holds": {func(float64, *sequence.Outputs) {}, "1", nil, "", sim.FalseAlarm},
		"moves down on command": {func(_ float64, out *sequence.Outputs) {
			out.Drive, out.TargetMM = sequence.DriveMove, 100
		}, "1", nil, "", sim.FalseAlarm},
		"drops from the start": {func(_ float64, out *sequence.Outputs) { drop(out) }, "1", []string{sim.NoDrop}, off, sim.Refused},
		"drops in the test": {func(s float64, out *sequence.Outputs) {
			if s >= 1 {
				drop(out)
			}
		}, "1", []string{sim.NoDrop}, off, sim.Refused},
		"drops beside a weak brake": {func(_ float64, out *sequence.Outputs) { drop(out) }, "0.3", []string{sim.NoDrop}, off, sim.Caught},
		"presses with no torque": {func(_ float64, out *sequence.Outputs) {
			out.Drive, out.PressRateNMS = sequence.DrivePress, 100
		}, "1", []string{sim.NoDrop}, press, sim.Refused},
		"opens the brake without torque": {func(s float64, out *sequence.Outputs) {
			drop(out)
			out.Brake = sequence.BrakeClosed
			if s >= 0.3 {
				out.Brake = sequence.BrakeOpen
			}
		}, "1", []string{sim.NoDrop, sim.Carried}, off, sim.Refused},
		"sets the load on a brake that slips": {func(_ float64, out *sequence.Outputs) {
			drop(out)
			out.Brake = sequence.BrakeClosed
		}, "0.1", []string{sim.NoDrop}, "", sim.Caught},
		"presses beyond the ceiling": {func(s float64, out *sequence.Outputs) {
			out.Brake = sequence.BrakeClosed
			if s >= 0.2 {
				out.Drive, out.PressTorqueNM, out.PressRateNMS = sequence.DrivePress, -8.8, 100
			}
		}, "2", []string{sim.BelowCeiling}, "", sim.FalseAlarm},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			made := load(t, demo, map[string]string{"rig.clock.tick": "1ms", "rig.clock.run_limit": "2s", "rig.brake.condition": c.condition})
			made.Scenario.Expect = sim.Expect{}
			made.Logic = stateless{made.Logic, c.set}
			r, err := sim.Run(made, nil)
			require.NoError(t, err)
			assert.ElementsMatch(t, append([]string{sim.Bounded}, c.broken...), r.Broken())
			assert.Equal(t, c.commanded, r.DropCommanded)
			assert.Equal(t, c.class, r.Class)
			for _, o := range r.Obligations {
				ofEnd := o.Name == sim.FreshProof || o.Name == sim.LockedOut || o.Name == sim.Restored
				assert.Equal(t, ofEnd, o.NotJudged != "", "%s: %s", o.Name, o.NotJudged)
			}
			if c.commanded != "" {
				by := ", by command of the controller: " + c.commanded
				assert.Contains(t, obligation(t, r, sim.NoDrop).Detail, by)
				i := slices.IndexFunc(r.Events, func(e sim.Event) bool { return e.Type == sim.EventLoadDropped })
				require.GreaterOrEqual(t, i, 0)
				assert.Equal(t, "load drop exceeds 5 mm"+by, r.Events[i].What)
			}
		})
	}
}
