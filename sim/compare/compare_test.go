package compare_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/compare"
)

func recorded(t *testing.T, name string, o scenarios.Overrides) *compare.Run {
	t.Helper()
	c, _, err := scenarios.LoadCase(name, o)
	require.NoError(t, err)
	r, err := compare.Record(t.Context(), c)
	require.NoError(t, err)
	return r
}

func compared(t *testing.T, a, b *compare.Run, align string) *compare.Comparison {
	t.Helper()
	by, err := compare.ParseAlignment(align)
	require.NoError(t, err)
	c, err := compare.Of(a, b, by)
	require.NoError(t, err)
	return c
}

// A run does not differ from itself, whatever it is aligned at.
func TestRunIsItself(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"healthy-down-and-up", "lining-worn-thin", "second-brake-worn", "healthy-arm"} {
		r := recorded(t, name, scenarios.Overrides{})
		again := recorded(t, name, scenarios.Overrides{})
		for _, align := range []string{"time", "event:judge"} {
			c := compared(t, r, again, align)
			assert.True(t, c.Same(), "%s: %+v", name, c.First())
			for _, p := range c.Values(r.EndS() / 2) {
				assert.Equal(t, p.A, p.B, p.Signal)
				assert.False(t, p.Differs, p.Signal)
			}
		}
	}
}

// A second brake is compared where there is one; where there is none its signals mean nothing.
func TestSecondBrakeIsComparedWhereThereIsOne(t *testing.T) {
	t.Parallel()
	for name, want := range map[string]bool{"lining-worn-thin": false, "second-brake-worn": true} {
		r := recorded(t, name, scenarios.Overrides{})
		found := map[string]bool{}
		for _, p := range compared(t, r, r, "time").Values(1) {
			found[p.Signal] = true
		}
		for _, p := range r.Beside(&sim.View{}, "", 1) {
			assert.False(t, strings.HasPrefix(p.Signal, "brake_2"), "%s: %s beside a run on a rig with one brake", name, p.Signal)
		}
		for _, signal := range []string{"brake_2", "brake_2_closed", "brake_2_proof_left_s"} {
			assert.Equal(t, want, found[signal], "%s: %s", name, signal)
		}
		assert.True(t, found["brake"], name)
	}
}

// Other noise alone is no difference: neither the events that it shifts by a scan, nor what a state keeps of a
// noisy input.
func TestNoiseIsNoDifference(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"healthy-down-and-up", "healthy-arm", "healthy-counterbalanced"} {
		a := recorded(t, name, scenarios.Overrides{})
		for seed := range uint64(4) {
			c := compared(t, a, recorded(t, name, scenarios.Overrides{Seed: 50 + seed}), "time")
			assert.True(t, c.Same(), "%s, seed %d: %+v", name, 50+seed, c.First())
		}
	}
}

// A worn lining is truth as soon as the brake closes, and shows to the sequence when the press makes it slip.
func TestWornLiningShowsInThePress(t *testing.T) {
	t.Parallel()
	a, b := recorded(t, "healthy-down", scenarios.Overrides{}), recorded(t, "lining-worn-thin", scenarios.Overrides{})
	c := compared(t, a, b, "time")
	require.NotNil(t, c.First())
	assert.Equal(t, "capacity_nm", c.First().Signal)
	assert.Equal(t, "close_brake", c.First().StateA)
	assert.Less(t, *c.First().Difference, 0.0, "B has the smaller capacity")
	require.NotEmpty(t, c.Visible)
	assert.Equal(t, "press_down", c.Visible[0].StateA)
	assert.False(t, c.Visible[0].StatesApart)
	for _, d := range c.Visible {
		assert.NotEqual(t, string(sim.TruthGroup), d.Group)
	}
	assert.Equal(t, "verdict_down", c.Path.Common[len(c.Path.Common)-1].State)
	assert.Equal(t, "withdraw_ask", c.Path.OnlyA[0])
	assert.Equal(t, "arrest_load", c.Path.OnlyB[0])
	assert.Empty(t, c.Path.Joined)
	for name, want := range map[string][2]string{"end": {"pass", "fail"}, "verdict": {"proven", "failed"}, "cause": {"", "moved"}, "class": {"sound-pass", "caught"}} {
		i := slices.IndexFunc(c.Outcome, func(o compare.Outcome) bool { return o.Name == name })
		assert.Equal(t, want, [2]string{c.Outcome[i].A, c.Outcome[i].B}, name)
		assert.True(t, c.Outcome[i].Differs, name)
	}
}

// B held against A is A held against B with the sides changed.
func TestSidesAreMirrored(t *testing.T) {
	t.Parallel()
	for _, of := range [][2]string{{"healthy-down", "lining-worn-thin"}, {"healthy-down-and-up", "healthy-arm"}, {"first-brake-worn", "second-brake-worn"}} {
		a, b := recorded(t, of[0], scenarios.Overrides{}), recorded(t, of[1], scenarios.Overrides{Seed: 3})
		for _, align := range []string{"time", "event:judge"} {
			one, other := compared(t, a, b, align), compared(t, b, a, align)
			assert.Equal(t, one.Visible, mirrored(other.Visible), of)
			assert.Equal(t, one.Truth, mirrored(other.Truth), of)
			assert.Equal(t, one.Path.OnlyA, other.Path.OnlyB)
			assert.Equal(t, one.Path.OnlyB, other.Path.OnlyA)
			assert.Len(t, other.Path.Joined, len(one.Path.Joined))
			assert.Equal(t, one.ShiftS(), -other.ShiftS())
			for i := range one.Outcome {
				assert.Equal(t, one.Outcome[i].A, other.Outcome[i].B)
				assert.Equal(t, one.Outcome[i].Differs, other.Outcome[i].Differs)
			}
		}
	}
}

func mirrored(list []compare.Divergence) []compare.Divergence {
	var other []compare.Divergence
	for _, d := range list {
		d.AtAS, d.AtBS, d.StateA, d.StateB, d.A, d.B = d.AtBS, d.AtAS, d.StateB, d.StateA, d.B, d.A
		if d.Difference != nil {
			turned := -*d.Difference
			d.Difference = &turned
		}
		d.Frozen = map[string]string{"a": "b", "b": "a"}[d.Frozen]
		other = append(other, d)
	}
	return other
}

// Two tests that begin at other times are the same test, once they are aligned at its start.
func TestAlignedTestsAreTheSame(t *testing.T) {
	t.Parallel()
	a := recorded(t, "healthy-down", scenarios.Overrides{})
	late := a.Case.Scenario.Clone()
	late.Script = []sim.Action{{At: 1300 * time.Millisecond, Set: map[string]bool{"trigger": true}}} // without a script at 0.5 s
	c, _, err := a.Case.With(late)
	require.NoError(t, err)
	b, err := compare.Record(t.Context(), c)
	require.NoError(t, err)
	assert.NotNil(t, compared(t, a, b, "time").First(), "one begins earlier")
	aligned := compared(t, a, b, "state:permissives")
	assert.InDelta(t, 0.8, aligned.ShiftS(), 1e-9)
	for _, d := range aligned.Visible { // but for what counts from the start of the run
		assert.Contains(t, d.Signal, "proof_left_s", "%+v", d)
	}
}

// An encoder that is frozen at rest reads right and shows no noise.
func TestFrozenInputDiffers(t *testing.T) {
	t.Parallel()
	a := recorded(t, "healthy-down", scenarios.Overrides{})
	frozen := a.Case.Scenario.Clone()
	frozen.Faults = append(frozen.Faults, sim.Fault{When: &sim.Moment{State: "verdict_down"}, Set: map[string]string{"encoder.frozen": "true"}})
	c, _, err := a.Case.With(frozen)
	require.NoError(t, err)
	b, err := compare.Record(t.Context(), c)
	require.NoError(t, err)
	found := compared(t, a, b, "time").Visible
	i := slices.IndexFunc(found, func(d compare.Divergence) bool { return d.Frozen != "" })
	require.GreaterOrEqual(t, i, 0, fmt.Sprint(found))
	assert.Equal(t, "b", found[i].Frozen)
	frozenAt, err := compare.Alignment{By: compare.AtState, Name: "verdict_down", Nth: 1}.Moment(b.Result)
	require.NoError(t, err)
	assert.InDelta(t, frozenAt, found[i].AtBS, 0.05, "from the last change on")
}

// A part of a run is the beginning of the whole one.
func TestPartOfARun(t *testing.T) {
	t.Parallel()
	a := recorded(t, "lining-worn-thin", scenarios.Overrides{})
	part, err := compare.RecordTicks(t.Context(), a.Case, 16_000)
	require.NoError(t, err)
	assert.InDelta(t, 4, part.EndS(), 0.002)
	c := compared(t, a, part, "time")
	assert.Nil(t, c.First())
	assert.False(t, c.Same(), "it has no end")
}

func TestInterrupted(t *testing.T) {
	t.Parallel()
	ctx, stop := context.WithCancel(t.Context())
	stop()
	c, _, err := scenarios.LoadCase("healthy-down", scenarios.Overrides{})
	require.NoError(t, err)
	_, err = compare.Record(ctx, c)
	require.ErrorIs(t, err, context.Canceled)
}

func TestMomentIsMissing(t *testing.T) {
	t.Parallel()
	r := recorded(t, "healthy-down-and-up", scenarios.Overrides{})
	for text, want := range map[string]string{
		"state:arrest_load":   `run A: healthy-down-and-up does not enter state "arrest_load"`,
		"state:pres_down":     `the nearest valid one is "press_down"`,
		"state:press_down#3":  `has state:press_down 1 times; must be #1 or less`,
		"event:slips":         `has no event "slips"; must be a kind \(state, .*\) or a part of its text`,
		"event:proven#100000": `must be #1 or less`,
	} {
		by, err := compare.ParseAlignment(text)
		require.NoError(t, err)
		_, err = compare.Of(r, r, by)
		require.Error(t, err, text)
		assert.Regexp(t, want, err.Error())
	}
}

func TestParseAlignment(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]compare.Alignment{
		"time":               {By: compare.AtTime, Nth: 1},
		"state:press_down":   {By: compare.AtState, Name: "press_down", Nth: 1},
		"event: load drop#2": {By: compare.AtEvent, Name: "load drop", Nth: 2},
	} {
		got, err := compare.ParseAlignment(text)
		require.NoError(t, err)
		assert.Equal(t, want, got)
	}
	for _, text := range []string{"", "state", "state:", "time:3", "event:#2", "scan:4", "state:x#0", "state:x#y", "#"} {
		_, err := compare.ParseAlignment(text)
		assert.ErrorContains(t, err, "must be", text)
	}
}

// What came of a second brake is compared where a rig has one, also where the other rig has none.
func TestSecondBrakeIsCompared(t *testing.T) {
	t.Parallel()
	worn := recorded(t, "second-brake-worn", scenarios.Overrides{})
	c, _, err := scenarios.LoadCase("second-brake-worn", scenarios.Overrides{})
	require.NoError(t, err)
	nominal, err := compare.Record(t.Context(), c.Nominal())
	require.NoError(t, err)
	one := recorded(t, "healthy-down", scenarios.Overrides{})
	outcome := func(a, b *compare.Run, name string) *compare.Outcome {
		list := compared(t, a, b, "time").Outcome
		if at := slices.IndexFunc(list, func(o compare.Outcome) bool { return o.Name == name }); at >= 0 {
			return &list[at]
		}
		return nil
	}
	both := outcome(worn, nominal, "brake_2_capacity_nm")
	require.NotNil(t, both)
	assert.True(t, both.Differs)
	assert.InDelta(t, *nominal.Result.Brake2CapacityNM-*worn.Result.Brake2CapacityNM, *both.Difference, 1e-9)
	slip := outcome(worn, nominal, "brake_2_slip_deg")
	require.NotNil(t, slip)
	assert.True(t, slip.Differs)
	alone := outcome(one, worn, "brake_2_capacity_nm")
	require.NotNil(t, alone)
	assert.Empty(t, alone.A)
	assert.True(t, alone.Differs)
	assert.Nil(t, outcome(one, one, "brake_2_capacity_nm"))
}

func TestSignalName(t *testing.T) {
	t.Parallel()
	for signal, want := range map[string]string{"speed": "speed (mm/s)", "position_mm": "position_mm", "torque_nm": "torque_nm", "state": "state", "brake_closed": "brake_closed", "move_speed_mm_s": "move_speed_mm_s"} {
		assert.Equal(t, want, compare.SignalName(signal))
	}
}
