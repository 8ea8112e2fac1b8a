package sim_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/plant"
	"holdbench/sim"
)

// A rig without a partner says nothing of its brake, so that its values may be out of range. A
// fault there has no effect, and is taken back as it came.
func TestAFaultOfAPartnerThatIsNotThere(t *testing.T) {
	c := load(t, demo, nil)
	require.Zero(t, c.Rig.Partner.Brake.StaticNM)
	b := sim.NewBench(c, nil)
	require.NoError(t, b.Inject(sim.Fault{For: 40 * time.Millisecond, Set: map[string]string{"partner.brake.static_nm": "5"}}))
	b.Tick()
	require.Equal(t, 5.0, b.View().Rig.Partner.Brake.StaticNM)
	ticked(b, 200)
	require.Zero(t, b.View().Rig.Partner.Brake.StaticNM)
}

// A rig is validated when a case is made of it, and what a scenario sets again, also if the
// rig was found valid before.
func TestNewCaseValidatesTheRig(t *testing.T) {
	c := load(t, demo, nil)
	document := c.Program.Document()
	dead := c.Rig
	dead.Clock.Tick = 0
	_, found := sim.NewCase(c.Scenario, dead, document)
	require.Equal(t, []sim.Problem{{Path: "rig", Message: "clock.tick is missing or 0; must be between 1µs and 10ms"}}, found)

	set := c.Scenario
	set.Set = map[string]string{"judge.deadline": "2ms"}
	want := []sim.Problem{{Path: "set.'judge.deadline'", Message: "judge.deadline is 2ms; must be at least judge.dwell, which is 1s"}}
	for _, newCase := range []func(sim.Scenario) (*sim.Case, []sim.Problem){
		func(s sim.Scenario) (*sim.Case, []sim.Problem) { return sim.NewCase(s, c.Rig, document) },
		func(s sim.Scenario) (*sim.Case, []sim.Problem) { return sim.NewCaseOfValid(s, c.Rig, document) },
		c.With,
	} {
		_, found := newCase(set)
		require.Equal(t, want, found)
	}
	varied := c.Rig
	varied.Judge = plant.Judge{}
	_, found = c.Varied(varied, 1, nil)
	require.NotEmpty(t, found)
}
