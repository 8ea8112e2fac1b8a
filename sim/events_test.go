package sim_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sim"
)

// Every event of a run has a type, and the kind under which it is listed is that of its type.
func TestEventsHaveTypes(t *testing.T) {
	t.Parallel()
	seen := map[sim.EventType]string{}
	for name, set := range map[string]map[string]string{
		demo:                       {"judge.proof_left": "3s"},
		"cancelled-while-pressing": nil, "power-lost-while-pressing": nil, "stale-verdict-accepted": nil,
		"encoder-noisy-while-pressing": nil, "lining-worn-thin": nil,
		"reset-after-stop": nil, "failure-stays": nil, "failure-acknowledged": nil, "access-without-proof": nil,
		"healthy-down": {"judge.warning_time": "30s", "judge.proof_left": "31s"},
	} {
		for _, e := range run(t, name, set).Events {
			require.NotZero(t, e.Type, "%s: %s", name, e.What)
			require.Equal(t, e.Type.Kind(), e.Kind, "%s: %s", name, e.What)
			seen[e.Type] = e.What
		}
	}
	stopped := sim.NewBench(load(t, demo, nil), nil)
	require.NoError(t, stopped.Inject(sim.Fault{Set: map[string]string{"controller.overrun": "true"}}))
	ticked(stopped, 10)
	for _, e := range stopped.Events() {
		seen[e.Type] = e.What
	}
	for of := sim.EventStateEntered; of <= sim.EventEnded; of++ {
		assert.Contains(t, seen, of, "none of the runs has an event of this type; the one before it is %q", seen[of-1])
	}
}

func TestEventsNameWhatTheyAreOf(t *testing.T) {
	t.Parallel()
	r := run(t, "lining-worn-thin", nil)
	left := ""
	for i := range r.Events {
		switch e := &r.Events[i]; e.Type {
		case sim.EventStateEntered:
			if left != "" {
				assert.Equal(t, left, e.Subject, "the state that was left")
			}
			left = e.Snapshot.State
		case sim.EventFailed:
			assert.Equal(t, "moved", e.Cause)
		case sim.EventButtonOn:
			assert.Equal(t, "trigger", e.Subject)
		case sim.EventEnded:
			assert.Equal(t, r.Cause, e.Cause)
		}
	}
	assert.Equal(t, r.EndedIn, left)
}
