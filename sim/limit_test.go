package sim_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sim"
)

// A run is as long as its document asks: an action of the operator or a fault behind the rig's run limit is
// waited for, and a test that begins then has the whole limit.
func TestRunIsAsLongAsItsDocumentAsks(t *testing.T) {
	t.Parallel()
	at := func(d time.Duration) *time.Duration { return &d }
	trigger := map[string]bool{"trigger": true}
	for _, x := range []struct {
		name   string
		script []sim.Action
		faults []sim.Fault
		want   time.Duration // limit
	}{
		{"as usual", nil, nil, time.Minute},
		{"within the limit", []sim.Action{{At: 50 * time.Second, Set: trigger}}, nil, time.Minute},
		{"later", []sim.Action{{At: 2 * time.Minute, Set: trigger}}, nil, 3 * time.Minute},
		{"held for long", []sim.Action{{At: time.Second, For: 2 * time.Minute, Set: trigger}}, nil, 3*time.Minute + time.Second},
		{"a late fault", nil, []sim.Fault{{At: at(90 * time.Second), Set: map[string]string{"link.down": "true"}}}, 150 * time.Second},
	} {
		t.Run(x.name, func(t *testing.T) {
			t.Parallel()
			c := load(t, demo, nil)
			s := c.Scenario
			s.Script, s.Faults = x.script, x.faults
			c, _, err := c.With(s)
			require.NoError(t, err)
			assert.Equal(t, x.want, c.RunLimit())
		})
	}
	c := load(t, demo, nil)
	s := c.Scenario
	s.Script = []sim.Action{{At: 2 * time.Minute, Set: trigger}}
	c, _, err := c.With(s)
	require.NoError(t, err)
	r, err := sim.Run(c, nil)
	require.NoError(t, err)
	assert.Equal(t, "pass", r.End)
	assert.Greater(t, r.DurationS, 120.0)

	s.Script[0].At = 25 * time.Hour
	_, _, err = c.With(s)
	assert.ErrorContains(t, err, "script[0].at is 25h0m0s into the run; must be at most 24h0m0s")
}
