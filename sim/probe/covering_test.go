package probe

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func someFactors(t *rapid.T) factors {
	count := func(label string, most int) []int {
		return rapid.SliceOfN(rapid.IntRange(1, most), 1, 7).Draw(t, label)
	}
	f := factors{severities: count("severities", 3), moments: count("moments", 4)}
	parts := rapid.IntRange(1, 3).Draw(t, "parts") // what is of one part cannot come together in the first state
	f.fit = func(a, b, state int) bool { return a%parts != b%parts || state != 0 }
	return f
}

// possible lists every row there could be, so that what a plan owes is known without it.
func possible(f factors) []row {
	var rows []row
	for a := range f.severities {
		for b := a + 1; b < len(f.severities); b++ {
			for s, moments := range f.moments {
				if !f.fit(a, b, s) {
					continue
				}
				for m := range moments {
					for i := range f.severities[a] {
						for j := range f.severities[b] {
							rows = append(rows, row{a: a, b: b, severityA: i, severityB: j, state: s, moment: m})
						}
					}
				}
			}
		}
	}
	return rows
}

// Whatever two values come together in any possible run come together in the plan, the plan
// has only possible runs, and it is no longer than it must be: no run twice.
func TestEveryTwoValuesAreCombined(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		f := someFactors(t)
		all := map[row]bool{}
		owed := map[pair]bool{}
		for _, r := range possible(f) {
			all[r] = true
			for _, p := range r.pairs() {
				owed[p] = true
			}
		}
		plan, err := cover(t.Context(), f)
		require.NoError(t, err)
		require.LessOrEqual(t, len(plan), len(all))
		require.Equal(t, Extent{Runs: len(plan), Pairs: len(owed), All: len(all)}, f.extent(plan))
		for _, r := range plan {
			require.True(t, all[r], "%+v cannot be, or is there twice", r)
			delete(all, r)
			for _, p := range r.pairs() {
				delete(owed, p)
			}
		}
		require.Empty(t, owed, "pairs that no run of the plan has")
	})
}

// Ten faults of three severities, eight states of four moments: the full product has
// 45·3·3·8·4 = 12,960 runs. Every two faults need 45, each fault in each state and at each
// severity is among these if they are well chosen.
func TestAPlanIsShort(t *testing.T) {
	t.Parallel()
	f := factors{fit: func(int, int, int) bool { return true }}
	for range 10 {
		f.severities = append(f.severities, 3)
	}
	for range 8 {
		f.moments = append(f.moments, 4)
	}
	require.Len(t, possible(f), 12960)
	plan, err := cover(t.Context(), f)
	require.NoError(t, err)
	require.Less(t, len(plan), 3*45/2)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = cover(ctx, f)
	require.ErrorIs(t, err, context.Canceled)
}
