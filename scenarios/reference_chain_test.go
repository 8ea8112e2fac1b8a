package scenarios_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim"
)

const chainName = "reference-chain"

// needsWhatTheChainLacks is whether a scenario cannot be run as it names a state that the chain leaves
// out: the strokes of the run-in, and the way back from an obstacle.
func needsWhatTheChainLacks(err error) bool {
	for _, state := range []string{"run_in_up", "run_in_down", "run_in_settle", "back_off"} {
		if err != nil && strings.Contains(err.Error(), `has no state "`+state+`"`) {
			return true
		}
	}
	return false
}

// chainOutcome is what became of a scenario with the step chain.
type chainOutcome struct {
	name, rig    string
	healthy, ran bool
	unmet        []string
}

// withChain runs a scenario with the step chain. The strokes of a run-in that it lacks end in a lockout.
func withChain(t *testing.T, name string) chainOutcome {
	t.Helper()
	c, _, err := scenarios.LoadCase(name, scenarios.Overrides{Sequence: chainName})
	if needsWhatTheChainLacks(err) {
		return chainOutcome{}
	}
	require.NoError(t, err)
	r, err := sim.Run(c, nil)
	require.NoError(t, err)
	if times, ok := c.Sequence.Param("run_in_times"); ok && times.Number > 0 {
		assert.NotEqual(t, sim.Missed, r.Class, "locked out in place of run in")
		return chainOutcome{}
	}
	out := chainOutcome{name: name, rig: c.Rig.Rig, ran: true, healthy: strings.HasPrefix(name, "healthy-")}
	for _, x := range r.Expectations {
		if !x.Met {
			out.unmet = append(out.unmet, x.Name+": want "+x.Want+", got "+x.Got)
		}
	}
	return out
}

// The step chain does what the scenarios of the reference expect: the healthy ones all, and of the
// others at least 19 in 20, as it is simpler; more than 40 on two rigs in a test that is not short.
func TestReferenceChainMeetsTheScenarios(t *testing.T) {
	t.Parallel()
	names := ofTheReference(t)
	outcomes := make([]chainOutcome, len(names))
	t.Run("all", func(t *testing.T) {
		for i, name := range names {
			t.Run(name, func(t *testing.T) {
				t.Parallel()
				outcomes[i] = withChain(t, name)
			})
		}
	})
	ran, met := 0, map[string]int{}
	for _, o := range outcomes {
		switch {
		case !o.ran:
			continue
		case len(o.unmet) == 0:
			met[o.rig]++
		case o.healthy:
			assert.Empty(t, o.unmet, o.name)
		default:
			t.Log(o.name, o.unmet)
		}
		ran++
	}
	all := 0
	for _, n := range met {
		all += n
	}
	t.Log(met)
	assert.GreaterOrEqual(t, float64(all), 0.95*float64(ran))
	if !testing.Short() {
		assert.GreaterOrEqual(t, met["pane-hoist"], 40)
		assert.GreaterOrEqual(t, met["store-lift"], 40)
	}
}

// The rigs and --set give the chain what they give the document.
func TestReferenceChainHasTheParametersOfTheReference(t *testing.T) {
	t.Parallel()
	document, _, err := scenarios.LoadLogic(referenceName)
	require.NoError(t, err)
	chain, _, err := scenarios.LoadLogic(chainName)
	require.NoError(t, err)
	assert.Equal(t, withoutNotes(document.About().Params), withoutNotes(chain.About().Params))
	assert.Equal(t, document.About().Roles, chain.About().Roles)
}

// withoutNotes are parameters without their notes: they are comments of a document, which a program has elsewhere.
func withoutNotes(params []sequence.ParamValue) []sequence.ParamValue {
	params = slices.Clone(params)
	for i := range params {
		params[i].Note = ""
	}
	return params
}
