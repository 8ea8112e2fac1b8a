package training_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/sim"
	"holdbench/sim/catalogue"
	"holdbench/sim/training"
)

// shelf keeps riddles: to draw one takes a dozen runs.
type shelf map[key]*training.Riddle

type key struct {
	rig  string
	seed uint64
}

func (s shelf) get(t require.TestingT, k key) *training.Riddle {
	if r := s[k]; r != nil {
		return r
	}
	r, err := training.Draw(coarseOn(t, k.rig), k.seed)
	require.NoError(t, err)
	s[k] = r
	return r
}

func someKey(t *rapid.T) key {
	return key{
		rapid.SampledFrom([]string{"pane-hoist", "twin-lift"}).Draw(t, "rig"),
		rapid.Uint64Range(1, 3).Draw(t, "seed"),
	}
}

func names(list []training.Choice) []string {
	var names []string
	for _, c := range list {
		names = append(names, c.Name)
	}
	return names
}

func groupsOf(t require.TestingT, causes []string) []string {
	var groups []string
	for _, f := range catalogue.Entries() {
		if slices.Contains(causes, f.Name) {
			groups = append(groups, f.Group)
		}
	}
	require.Len(t, groups, len(causes), "every cause is of the catalogue")
	return groups
}

// requireFair is what every riddle owes to who is to solve it.
func requireFair(t require.TestingT, r *training.Riddle) {
	causes, remedies := names(r.Causes), names(r.Remedies)
	require.Len(t, causes, 6)
	require.Len(t, remedies, 6)
	for _, list := range [][]string{causes, remedies} {
		sorted := slices.Sorted(slices.Values(list))
		require.Equal(t, slices.Compact(slices.Clone(sorted)), sorted, "each answer stands once")
	}
	require.Contains(t, causes, r.Fault.Name)
	require.Contains(t, remedies, r.Fault.Remedy)
	same := 0
	for _, g := range groupsOf(t, causes) {
		if g == r.Fault.Group {
			same++
		}
	}
	require.GreaterOrEqual(t, same, 3, "the true one and two of its group")
	for _, f := range catalogue.Entries() {
		if f.Name != r.Fault.Name && f.Symptom != "" && f.Symptom == r.Fault.Symptom {
			require.NotContains(t, causes, f.Name, "it looks like %s", r.Fault.Name)
		}
	}
	require.NotEmpty(t, r.Clues)
	require.False(t, r.Clues[0].AfterDivergence, "something shows before the sequences part")
	require.Empty(t, r.Nominal.Scenario.Faults)
	require.Len(t, r.Case.Scenario.Faults, 1)
	_, warnings, err := r.Nominal.With(r.Case.Scenario)
	require.NoError(t, err)
	require.Empty(t, warnings)
}

// The properties share the riddles.
func TestProperties(t *testing.T) {
	t.Parallel()
	drawn, again := shelf{}, shelf{}
	t.Run("every riddle is fair", rapid.MakeCheck(func(t *rapid.T) { requireFair(t, drawn.get(t, someKey(t))) }))
	t.Run("the same seed gives the same riddle", rapid.MakeCheck(func(t *rapid.T) {
		k := someKey(t)
		requireSame(t, drawn.get(t, k), again.get(t, k))
	}))
	t.Run("a score stays within its bounds", rapid.MakeCheck(func(t *rapid.T) { requireBounds(t, drawn.get(t, someKey(t))) }))
}

func requireSame(t require.TestingT, a, b *training.Riddle) {
	require.Equal(t, a.Fault.Name, b.Fault.Name)
	require.Equal(t, a.Severity, b.Severity)
	require.Equal(t, a.When, b.When)
	require.Equal(t, a.Case.Scenario.Faults, b.Case.Scenario.Faults)
	require.Equal(t, a.Clues, b.Clues)
	require.Equal(t, a.Causes, b.Causes)
	require.Equal(t, a.Remedies, b.Remedies)
}

func requireBounds(t *rapid.T, r *training.Riddle) {
	cause := rapid.SampledFrom(append(names(r.Causes), "", "no-such-cause")).Draw(t, "cause")
	remedy := rapid.SampledFrom(append(names(r.Remedies), "", "no-such-remedy")).Draw(t, "remedy")
	probes := rapid.IntRange(-2, 50).Draw(t, "probes")
	s := r.Score(cause, remedy, probes)
	require.True(t, 0 <= s.Total && s.Total <= training.MaxPoints, "%+v", s)
	require.Equal(t, cause == r.Fault.Name && remedy == r.Fault.Remedy && probes <= 3, s.Total == training.MaxPoints)
	require.LessOrEqual(t, r.Score(cause, remedy, probes+1).Total, s.Total, "a look more is never worth points")
	require.LessOrEqual(t, s.Total, r.Score(r.Fault.Name, r.Fault.Remedy, probes).Total, "nothing beats the truth")
	for _, says := range []string{s.CauseText, s.RemedyText, s.LooksText} {
		require.NotEmpty(t, says)
	}
}

// Other seeds give other faults, other moments and other severities.
func TestSeedsDiffer(t *testing.T) {
	t.Parallel()
	c := coarseOn(t, "pane-hoist")
	faults, moments := map[string]bool{}, map[string]bool{}
	for seed := uint64(101); seed <= 106; seed++ {
		r, err := training.Draw(c, seed)
		require.NoError(t, err)
		faults[r.Fault.Name], moments[r.When.State] = true, true
	}
	assert.Greater(t, len(faults), 3)
	assert.Greater(t, len(moments), 1)
}

// The arm and the gate have fewer faults to choose from, and enough.
func TestRiddlesOnEveryOtherRig(t *testing.T) {
	t.Parallel()
	for _, rig := range []string{"tilt-arm", "kiln-gate"} {
		for seed := uint64(1); seed <= 2; seed++ {
			requireFair(t, shelf{}.get(t, key{rig, seed}))
		}
	}
}

// A scenario's own faults and script are no part of a riddle on it.
func TestOwnFaultsAreDropped(t *testing.T) {
	c := coarseOn(t, "pane-hoist")
	plain, err := training.Draw(c, 3)
	require.NoError(t, err)
	own := *c
	own.Scenario.Faults = []sim.Fault{{When: &sim.Moment{}, Set: map[string]string{"drive.tripped": "true"}}}
	r, err := training.Draw(&own, 3)
	require.NoError(t, err)
	require.Equal(t, plain.Clues, r.Clues)
	require.Equal(t, plain.Causes, r.Causes)
}

func TestScoreOfTheParts(t *testing.T) {
	r := &training.Riddle{Fault: fault(t, "lining-worn")}
	for _, k := range []struct {
		cause, remedy string
		probes        int
		want          int
	}{
		{"lining-worn", "replace-brake", 0, 10},
		{"lining-worn", "replace-brake", 3, 10},
		{"lining-worn", "replace-brake", 5, 8},
		{"lining-worn", "replace-brake", 100, 7},
		{"lining-worn", "correct-data", 0, 6},
		{"brake-drags", "replace-brake", 0, 4},
		{"brake-drags", "correct-data", 0, 2},
		{"link-down", "replace-brake", 0, 0},
		{"link-down", "correct-data", 9, 0},
	} {
		assert.Equal(t, k.want, r.Score(k.cause, k.remedy, k.probes).Total, "%s, %s, %d", k.cause, k.remedy, k.probes)
	}
}
