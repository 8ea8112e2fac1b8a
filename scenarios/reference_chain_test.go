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

// chainDiffers are the scenarios of which the step chain meets not every expectation, as it is simpler, by
// what it does instead.
func chainDiffers() map[string]string {
	const (
		sooner  = "is at the support some 0.1 s sooner"
		goesOn  = "goes on to the support with a load that has grown"
		once    = "tries the torque against the reversed sign once less"
		another = "gives up the recovery at the first reading under noise, and locks out"
	)
	return map[string]string{
		"current-noisy-on-the-way-to-support":          sooner,
		"encoder-jumps":                                sooner,
		"encoder-slips-a-little-on-the-way-to-support": sooner,
		"load-grows-a-little-on-the-way-to-support":    sooner,
		"requirement-equals-setpoint":                  sooner,
		"stale-verdict":                                sooner,
		"load-grows-on-the-way-to-support":             goesOn,
		"torque-sign-reversed":                         once,
		"torque-sign-reversed-at-obstacle":             once,
		"torque-sign-reversed-at-obstacle-slow-press":  once,
		"torque-sign-reversed-worn-brake":              once,
		"encoder-noisy-from-the-failure-on":            another,
		"encoder-noisy-while-pressing":                 another,
	}
}

// The step chain does what the scenarios of the reference expect, but for those that are listed with what
// it does instead; more than 40 on two rigs in a test that is not short.
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
	met, differs := map[string]int{}, chainDiffers()
	for _, o := range outcomes {
		instead, listed := differs[o.name]
		switch {
		case !o.ran:
		case listed:
			assert.NotEmpty(t, o.unmet, "%s is listed with: %s", o.name, instead)
		default:
			assert.Empty(t, o.unmet, o.name)
			met[o.rig]++
		}
	}
	if !testing.Short() {
		assert.GreaterOrEqual(t, met["pane-hoist"], 40)
		assert.GreaterOrEqual(t, met["store-lift"], 40)
	}
}

// The rigs and --set give the chain what they give the document.
func TestReferenceChainHasTheParametersOfTheReference(t *testing.T) {
	t.Parallel()
	document, _, err := scenarios.LoadLogic(referenceName, scenarios.Below)
	require.NoError(t, err)
	chain, _, err := scenarios.LoadLogic(chainName, scenarios.Below)
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
