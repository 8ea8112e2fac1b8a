package sim_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/plant"
	"holdbench/plant/problem"
	"holdbench/sequence"
	"holdbench/sim"
)

// A fault of a part that the rig does not have would have no effect: it is refused, with what the
// rig lacks.
func TestAFaultOfAPartThatIsNotThere(t *testing.T) {
	c := load(t, demo, nil)
	b := sim.NewBench(c, nil)
	for key, lacks := range map[string]string{"partner.brake.static_nm": "partner.inertia_kg_m2", "brake_2.condition": "brake_2.static_nm"} {
		err := b.Inject(sim.Fault{For: 40 * time.Millisecond, Set: map[string]string{key: "0.5"}})
		require.ErrorContains(t, err, lacks+" is missing or 0, but "+key+" is 0.5")
	}
}

// A rig is validated when a case is made of it, and what a scenario sets again.
func TestNewCaseValidatesTheRig(t *testing.T) {
	c := load(t, demo, nil)
	document := c.Sequence.Source.(sequence.Document)
	dead := c.Rig
	dead.Clock.Tick = 0
	_, _, err := sim.NewCase(c.Scenario, dead, document)
	require.Equal(t, problem.List{{Path: "rig", Message: "clock.tick is missing or 0; must be between 1µs and 10ms"}}, problem.Of(err))

	set := c.Scenario
	set.Set = map[string]string{"judge.deadline": "2ms"}
	want := problem.List{{Path: "set.'judge.deadline'", Message: "judge.deadline is 2ms; must be at least judge.dwell, which is 1s"}}
	for _, newCase := range []func(sim.Scenario) (*sim.Case, problem.List, error){
		func(s sim.Scenario) (*sim.Case, problem.List, error) { return sim.NewCase(s, c.Rig, document) },
		c.With,
	} {
		_, _, err := newCase(set)
		require.Equal(t, want, problem.Of(err))
	}
	varied := c.Rig
	varied.Judge = plant.Judge{}
	_, err = c.Varied(varied, 1, nil)
	require.Error(t, err)
}

// A rig without a ceiling can be sized and not run, unless the scenario sets one.
func TestRunNeedsACeiling(t *testing.T) {
	base := load(t, demo, nil)
	rig, document := base.Rig, base.Sequence.Source.(sequence.Document)
	rig.Judge.CeilingNM = 0
	_, _, err := sim.NewCase(base.Scenario, rig, document)
	require.ErrorContains(t, err, "rig pane-hoist has no judge.ceiling_nm: motor torque above which the safety side stops the drive; a run needs it, and holdbench size works it out")
	s := base.Scenario.Clone()
	s.Set = map[string]string{"judge.ceiling_nm": "8.5"}
	c, _, err := sim.NewCase(s, rig, document)
	require.NoError(t, err)
	require.InDelta(t, 8.5, c.Rig.Judge.CeilingNM, 0)
}
