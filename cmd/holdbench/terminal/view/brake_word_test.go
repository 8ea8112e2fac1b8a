package view_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"holdbench/cmd/holdbench/terminal/view"
	"holdbench/sim"
	"holdbench/sim/history"
)

// What the judge has measured and what it makes of it are of one scan, also where the current is about as large as what
// is required.
func TestMeasuredAndJudgedAreOfOneScan(t *testing.T) {
	t.Parallel()
	r := history.New(load()(t, "requirement-equals-setpoint"))
	met, compared := 0, 0
	r.Advance(math.MaxInt64, func(b *sim.Bench) bool {
		if b.Case().Sequence.States[b.StateIndex()].Name != "verdict_down" {
			return false
		}
		j := b.View().Judge
		if j.Latched && j.Verdict.Busy {
			compared++
			if j.Met {
				met++
			}
			assert.Equal(t, j.Measured <= j.Required, j.Met, "%g of %g A", j.Measured, j.Required)
		}
		return compared == 1000
	})
	assert.Equal(t, 1000, compared)
	assert.Greater(t, met, 300)
	assert.Less(t, met, 700)
}

// A brake without a switch is not shown with one: the figure is that of its coil.
func TestCoilIsNoSwitch(t *testing.T) {
	t.Parallel()
	s, _ := scene(t, "coil-feedback-armature-stuck-open", entered("close_brake", 0.1))
	pane := text(view.Axis, 60, 12, s)
	assert.Regexp(t, `coil +closed ✗`, pane)
	assert.NotContains(t, pane, "switch")
}

// A brake is shown as closing once something commands it to close, and not ahead of that: in a stop the drive
// decelerates the axis first, and the brake closes at standstill.
func TestBrakeClosesWithItsCommand(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, scenario string
		at             moment
		want, never    string
	}{
		{"StillMoving", "emergency-stop-on-the-way-to-support", entered("stop_axis", 0.02), "open", "closing"},
		{"Commanded", "emergency-stop-on-the-way-to-support", entered("on_brake_alone", 0.01), "closing", "opening"},
		{"Closed", "emergency-stop-on-the-way-to-support", entered("on_brake_alone", 0.1), "closed", "closing"},
		{"WithoutPower", "weak-brake-at-power-loss", func(b *sim.Bench) bool { return b.View().TS >= 1.51 }, "closing", "opening"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s, _ := scene(t, c.scenario, c.at)
			pane := text(view.Axis, 60, 12, s)
			assert.Contains(t, pane, c.want)
			assert.NotContains(t, pane, c.never)
		})
	}
}
