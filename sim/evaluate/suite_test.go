package evaluate_test

import (
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/evaluate"
)

// What the judge of the bench was recorded as is what its evaluation says, in every built-in scenario whose
// signals show what the judge read. Of what signals show of obligations, nothing contradicts the truth where
// the signals do not lie.
func TestRunsOfTheBenchAreJudgedAlike(t *testing.T) {
	t.Parallel()
	var mu sync.Mutex
	causes, unlike := map[string]int{}, []string{}
	t.Cleanup(func() {
		t.Logf("judged alike, by cause: %v; otherwise, as no signal shows why: %v", causes, unlike)
		assert.Less(t, len(unlike), 10)
		for _, cause := range []string{"", "brake-open", "both-closed", "moved", "no-torque", "no-dwell", "over-torque", "position-lost"} {
			assert.Positive(t, causes[cause], "no run with the cause %q", cause)
		}
	})
	for _, entry := range scenarios.Builtin(scenarios.ScenarioKind) {
		t.Run(entry.Name, func(t *testing.T) {
			t.Parallel()
			c := load(t, entry.Name, nil)
			changed := changedBy(&c.Scenario)
			r, result := record(t, c)
			e, err := evaluate.Evaluate(&c.Rig, r, evaluate.Options{Phases: 1})
			require.NoError(t, err)
			for _, o := range e.Obligations {
				agrees(t, o, result, changed)
			}
			mu.Lock()
			defer mu.Unlock()
			if alike := result.Verdict == e.Verdict && judgeCause(result) == e.Cause; !alike && slices.ContainsFunc(changed, unseen) {
				unlike = append(unlike, entry.Name)
				return
			}
			require.Equal(t, result.Verdict, e.Verdict)
			require.Equal(t, judgeCause(result), e.Cause)
			causes[e.Cause]++
		})
	}
}

// judgeCause is the cause of the judge's newest failure, where that is the verdict.
func judgeCause(r *sim.Result) string {
	cause := ""
	for i := range r.Events {
		if e := &r.Events[i]; e.Type == sim.EventFailed && r.Verdict == evaluate.Failed {
			cause = e.Cause
		}
	}
	return cause
}

// changedBy is all that the faults of a scenario set.
func changedBy(s *sim.Scenario) []string {
	var list []string
	for i := range s.Faults {
		for key := range s.Faults[i].Set {
			list = append(list, key)
		}
	}
	return list
}

// unseen is whether no signal shows to the evaluation what a fault does to the judge: an ask that arrives
// otherwise than it was sent, and an encoder that reports that it is lost.
func unseen(key string) bool {
	return key == "link.ask_stuck" || key == "link.down" || key == "encoder.lost"
}

// agrees holds what signals show of an obligation against the truth. Signals lie of a load that is no longer
// on the shaft or another one than the rig has, and of an encoder or a transducer with a fault.
func agrees(t *testing.T, o evaluate.Obligation, r *sim.Result, changed []string) {
	t.Helper()
	lies := func(key string) bool {
		return key == "transmission.severed" || strings.HasPrefix(key, "encoder.") || strings.HasPrefix(key, "load.") || strings.HasPrefix(key, "drive.current_")
	}
	if o.State == evaluate.Unknown || slices.ContainsFunc(changed, lies) {
		return
	}
	i := slices.IndexFunc(r.Obligations, func(x sim.Obligation) bool { return x.Name == o.Name })
	assert.Equal(t, r.Obligations[i].Kept, o.State == evaluate.Kept, "%s is %s: %s; in the run: %s", o.Name, o.State, o.Why, r.Obligations[i].Detail)
}
