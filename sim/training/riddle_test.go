package training_test

import (
	"context"
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
	r, err := training.Draw(context.Background(), coarseOn(t, k.rig), training.One, k.seed)
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

// requireFair is what every riddle owes to who is to solve it.
func requireFair(t require.TestingT, r *training.Riddle) {
	causes, remedies := names(r.Causes), names(r.Remedies)
	require.Len(t, causes, 6)
	require.Len(t, remedies, 6)
	for _, list := range [][]string{causes, remedies} {
		sorted := slices.Sorted(slices.Values(list))
		require.Equal(t, slices.Compact(slices.Clone(sorted)), sorted, "each answer stands once")
	}
	require.Contains(t, causes, r.Truth.Name())
	require.Contains(t, remedies, r.Truth.Remedy())
	for _, f := range catalogue.Entries() {
		if f.Name != r.Truth.Name() && f.Symptom != "" && f.Symptom == r.Truth[0].Entry.Symptom {
			require.NotContains(t, causes, f.Name, "it looks like %s", r.Truth.Name())
		}
	}
	require.NotEmpty(t, r.Visible.Signal)
	require.GreaterOrEqual(t, r.Visible.LastsS, training.LeastTimeToEnd.Seconds())
	require.True(t, r.Visible.ToEnd || r.Visible.LastsS >= training.LeastTime.Seconds()-1e-9)
	require.True(t, r.Visible.Sign == training.Frozen || r.Visible.Tolerances >= training.LeastTolerances)
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
	require.Equal(t, a.Truth.Name(), b.Truth.Name())
	require.Equal(t, a.Visible, b.Visible)
	require.Equal(t, a.Case.Scenario.Faults, b.Case.Scenario.Faults)
	require.Equal(t, a.Clues, b.Clues)
	require.Equal(t, reasons(a.Causes), reasons(b.Causes))
	require.Equal(t, a.Remedies, b.Remedies)
}

// reasons are the names of the answers with why they are wrong.
func reasons(list []training.Choice) (all [][2]string) {
	for _, c := range list {
		all = append(all, [2]string{c.Name, c.Why})
	}
	return all
}

func requireBounds(t *rapid.T, r *training.Riddle) {
	cause := rapid.SampledFrom(append(names(r.Causes), "", "no-such-cause")).Draw(t, "cause")
	remedy := rapid.SampledFrom(append(names(r.Remedies), "", "no-such-remedy")).Draw(t, "remedy")
	probes := rapid.IntRange(-2, 50).Draw(t, "probes")
	s := r.Score(cause, remedy, probes)
	require.True(t, 0 <= s.Total && s.Total <= training.MaxPoints, "%+v", s)
	require.Equal(t, cause == r.Truth.Name() && remedy == r.Truth.Remedy() && probes <= 3, s.Total == training.MaxPoints)
	require.LessOrEqual(t, r.Score(cause, remedy, probes+1).Total, s.Total, "a look more is never worth points")
	require.LessOrEqual(t, s.Total, r.Score(r.Truth.Name(), r.Truth.Remedy(), probes).Total, "nothing beats the truth")
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
		r, err := training.Draw(t.Context(), c, training.One, seed)
		require.NoError(t, err)
		faults[r.Truth.Name()], moments[r.Truth[0].When.State] = true, true
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
	plain, err := training.Draw(t.Context(), c, training.One, 3)
	require.NoError(t, err)
	own := *c
	own.Scenario.Faults = []sim.Fault{{When: &sim.Moment{}, Set: map[string]string{"drive.tripped": "true"}}}
	r, err := training.Draw(t.Context(), &own, training.One, 3)
	require.NoError(t, err)
	require.Equal(t, plain.Clues, r.Clues)
	require.Equal(t, reasons(plain.Causes), reasons(r.Causes))
}

func TestScoreOfTheParts(t *testing.T) {
	r := &training.Riddle{Truth: training.Hypothesis{{Entry: fault(t, "lining-worn")}}}
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

// Of two faults, one alone is worth the points of a cause of the right group.
func TestScoreOfTwoFaults(t *testing.T) {
	r := &training.Riddle{Truth: training.Hypothesis{{Entry: fault(t, "encoder-frozen")}, {Entry: fault(t, "lining-worn")}}}
	remedy := r.Truth.Remedy()
	assert.Equal(t, "encoder-frozen + lining-worn", r.Truth.Name())
	for _, k := range []struct {
		cause, remedy string
		want          int
	}{
		{"encoder-frozen + lining-worn", remedy, 10},
		{"encoder-frozen + lining-worn", "replace-brake", 6},
		{"lining-worn", remedy, 4},
		{"lining-worn + link-down", "replace-brake", 2},
		{"brake-drags + link-down", remedy, 0},
	} {
		assert.Equal(t, k.want, r.Score(k.cause, k.remedy, 0).Total, "%s, %s", k.cause, k.remedy)
	}
}

func TestParseLevel(t *testing.T) {
	for _, row := range training.Levels() {
		level, err := training.ParseLevel(string(row.Level))
		require.NoError(t, err)
		assert.Equal(t, row.Level, level)
		assert.NotEmpty(t, row.Text)
	}
	_, err := training.ParseLevel("hard")
	require.EqualError(t, err, `there is no level "hard"; must be one of one, mild, masked, two, data`)
}

// A drawing ends with its context.
func TestDrawIsEnded(t *testing.T) {
	ctx, end := context.WithCancel(t.Context())
	end()
	_, err := training.Draw(ctx, coarseOn(t, "pane-hoist"), training.One, 1)
	require.ErrorIs(t, err, context.Canceled)
}
