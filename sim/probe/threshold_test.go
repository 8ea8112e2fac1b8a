package probe_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant"
	"holdbench/sim"
	"holdbench/sim/catalogue"
	"holdbench/sim/probe"
)

// brokenWith are the obligations that a run breaks with the fault in it from its beginning.
func brokenWith(t *testing.T, c *sim.Case, f catalogue.Selection) []string {
	t.Helper()
	s := c.Scenario
	s.Expect = sim.Expect{}
	addTo(t, f, &s, c)
	made, _, err := c.With(s)
	require.NoError(t, err)
	r, err := sim.Run(made, nil)
	require.NoError(t, err)
	var broken []string
	for _, o := range r.Obligations {
		if !o.Kept {
			broken = append(broken, o.Name)
		}
	}
	return broken
}

// The load is set down on a worn brake. By statics it falls when brake and guide together
// hold less than its weight, at (load torque - break-away of the guide) / rated torque; let
// go of with a jerk it slips a little before. A brake with sufficient torque never does.
func TestMildestSeverityThatEscapes(t *testing.T) {
	t.Parallel()
	c := load(t, parking)
	d := plant.Derive(&c.Rig)
	falls := (d.LoadTorqueNM - d.GuideBreakawayNM) / c.Rig.Brake.StaticNM
	fit := d.LoadTorqueNM * c.Rig.Test.Factor / c.Rig.Brake.StaticNM
	o := in(few("lining-worn", "encoder-noisy", "drive-trips"), "close_brake")
	list, err := probe.Thresholds(context.Background(), c, o, run(t, c, o))
	require.NoError(t, err)
	require.Len(t, list, 1, "noise has no effect here, and a drive that trips has no scale")
	e := list[0]
	assert.Equal(t, "lining-worn", e.Fault)
	assert.Greater(t, e.Number, falls)
	assert.Less(t, e.Number, fit)
	require.NotNil(t, e.Safe)
	assert.Greater(t, *e.Safe, e.Number, "a better lining holds")
	assert.InDelta(t, e.Number, *e.Safe, 0.001)
	assert.InDelta(t, (0.75-e.Number)/(0.75-0.15), e.Share, 0.001, "of the way from mild to severe")
	assert.Zero(t, e.FirstS, "a lining that is worn at the entry is worn when the drive lets go")
	assert.InDelta(t, 0.344, e.LastS, 0.005, "and so it is to the last scan")
	named, err := catalogue.Parse(e.Spec)
	require.NoError(t, err)
	assert.Equal(t, e.Broken, brokenWith(t, c, named))
	named.Severity = *e.Safe
	assert.Empty(t, brokenWith(t, c, named))
}

func TestInterruptedSearchKeepsItsResults(t *testing.T) {
	t.Parallel()
	c := load(t, parking)
	o := few("lining-worn")
	m := run(t, c, o)
	ctx, cancel := context.WithCancel(context.Background())
	o.Progress = func(done, known int) {
		if done == 1 {
			cancel()
		}
		assert.LessOrEqual(t, done, known)
	}
	list, err := probe.Thresholds(ctx, c, o, m)
	require.ErrorIs(t, err, context.Canceled)
	assert.LessOrEqual(t, len(list), 3)
}

// The load hangs on the brake alone at the end. It takes 2.81 N·m of 9 N·m: with less than
// 0.312 of its torque no brake holds it, and with a hundredth more, for the load to swing as
// the drive lets go, every brake does. The last state ends with the run, and so does the
// search for the latest moment.
func TestThresholdOfAWornLiningByHand(t *testing.T) {
	t.Parallel()
	c := load(t, parking)
	o := in(few("lining-worn"), "parked")
	m := run(t, c, o)
	list, err := probe.Thresholds(context.Background(), c, o, m)
	require.NoError(t, err)
	require.Len(t, list, 1)
	e := list[0]
	require.NotNil(t, e.Safe)
	const holding = 2.81 / 9
	assert.GreaterOrEqual(t, *e.Safe, holding)
	assert.Less(t, e.Number, 1.01*holding)
	assert.InDelta(t, *e.Safe, e.Number, 0.0002, "four digits lie next to each other")
	assert.InDelta(t, (0.75-e.Number)/(0.75-0.15), e.Share, 0.001, "from mild to severe")
	assert.LessOrEqual(t, e.FirstS, e.LastS)
}

// addTo adds a fault to a scenario on the rig and with the sequence of a case.
func addTo(t require.TestingT, n catalogue.Selection, s *sim.Scenario, c *sim.Case) {
	require.NoError(t, n.AddTo(s, &c.Rig, c.Sequence))
}
