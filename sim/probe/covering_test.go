package probe_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/sim/probe"
)

func someFactors(t *rapid.T) probe.Factors {
	count := func(label string, most int) []int {
		return rapid.SliceOfN(rapid.IntRange(1, most), 1, 7).Draw(t, label)
	}
	f := probe.Factors{Severities: count("severities", 3), Moments: count("moments", 4)}
	parts := rapid.IntRange(1, 3).Draw(t, "parts") // what is of one part cannot come together in the first state
	f.Fit = func(a, b, state int) bool { return a%parts != b%parts || state != 0 }
	return f
}

// possible lists every row there could be, so that what a plan owes is known without it.
func possible(f probe.Factors) []probe.Row {
	var rows []probe.Row
	for a := range f.Severities {
		for b := a + 1; b < len(f.Severities); b++ {
			for s, moments := range f.Moments {
				if !f.Fit(a, b, s) {
					continue
				}
				for m := range moments {
					for i := range f.Severities[a] {
						for j := range f.Severities[b] {
							rows = append(rows, probe.Row{A: a, B: b, SeverityA: i, SeverityB: j, State: s, Moment: m})
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
		all := map[probe.Row]bool{}
		owed := map[probe.Pair]bool{}
		for _, r := range possible(f) {
			all[r] = true
			for _, p := range r.Pairs() {
				owed[p] = true
			}
		}
		plan := probe.Cover(f)
		require.LessOrEqual(t, len(plan), len(all))
		require.Equal(t, probe.Extent{Runs: len(plan), Pairs: len(owed), All: len(all)}, f.Extent(plan))
		for _, r := range plan {
			require.True(t, all[r], "%+v cannot be, or is there twice", r)
			delete(all, r)
			for _, p := range r.Pairs() {
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
	f := probe.Factors{Fit: func(int, int, int) bool { return true }}
	for range 10 {
		f.Severities = append(f.Severities, 3)
	}
	for range 8 {
		f.Moments = append(f.Moments, 4)
	}
	require.Len(t, possible(f), 12960)
	require.Less(t, len(probe.Cover(f)), 3*45/2)
}
