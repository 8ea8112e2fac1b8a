package probe_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sim"
	"holdbench/sim/probe"
)

// The run without a fault of the probe is sound if it comes out as its scenario expects, and a pass is
// expected where that says nothing.
func TestNominal(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name           string
		change         func(s *sim.Scenario)
		end, expected  string
		sound, endless bool
	}{
		{"as it is", func(*sim.Scenario) {}, "pass", "pass", true, false},
		{"without expectations", func(s *sim.Scenario) { s.Expect = sim.Expect{} }, "pass", "pass", true, false},
		{"another end expected", func(s *sim.Scenario) { s.Expect = sim.Expect{End: "fail"} }, "pass", "fail", false, false},
		{"an obligation expected to be broken", func(s *sim.Scenario) {
			s.Expect = sim.Expect{Obligations: sim.Broken{{Broken: sim.NoDrop, Why: "a test"}}}
		}, "pass", "pass", false, false},
		{"never started", func(s *sim.Scenario) { s.Script = []sim.Action{{Set: map[string]bool{"trigger": false}}} }, "none", "pass", false, true},
	} {
		base := reference(t)
		s := base.Scenario
		c.change(&s)
		made, _, err := base.With(s)
		require.NoError(t, err, c.name)
		n, err := probe.NewNominal(made)
		require.NoError(t, err, c.name)
		assert.Equal(t, []any{c.end, c.expected, c.sound, c.endless}, []any{n.End, n.Expected, n.Sound(), n.Endless()}, c.name)
	}
}
