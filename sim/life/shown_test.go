package life_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sim/life"
)

// A study that keeps the tests and stops of the shown history alone has the same summary, the same comparison of intervals
// and the same shown history, also where it goes on behind earlier histories; of the others it keeps nuisance failures.
func TestShownAlone(t *testing.T) {
	t.Parallel()
	p := fortnight()
	p.Histories, p.FailureTo, p.DeclinePerDay = 6, [2]float64{0.1, 0.6}, 0.03
	p.Intervals = append(p.Intervals, p.Interval*2)
	none := func(int, int) {}
	study := func(alone bool, earlier []life.Record) *life.Study {
		s, err := life.NewStudy(hoist(t), p)
		require.NoError(t, err)
		s.ShownAlone = alone
		reduced := s.Reduced()
		for _, r := range earlier {
			s.Earlier = append(s.Earlier, reduced(r))
		}
		require.NoError(t, s.Measure(t.Context(), 2, none))
		require.NoError(t, s.Simulate(t.Context(), 2, none))
		require.NoError(t, s.Compare(t.Context(), 2, none))
		return s
	}
	all := study(false, nil)
	for name, earlier := range map[string][]life.Record{"FromTheBeginning": nil, "BehindEarlierOnes": all.Records[:4]} {
		alone := study(true, earlier)
		assert.Equal(t, life.Summarise(all.Records), life.Summarise(alone.Records), name)
		assert.Equal(t, all.Compared, alone.Compared, name)
		assert.Equal(t, life.Shown(all.Records), life.Shown(alone.Records), name)
		whole := 0
		for i := range alone.Records {
			if r := &alone.Records[i]; len(r.TestPoints) == r.Tests {
				whole++
				assert.Equal(t, all.Records[i], *r, name)
			} else {
				assert.Empty(t, r.StopPoints, name)
				for _, p := range r.TestPoints {
					assert.True(t, p.Sufficient && !p.Passed, name)
				}
			}
		}
		assert.LessOrEqual(t, whole, 2, name)
	}
	assert.NotEmpty(t, all.Records[5].TestPoints, "the records of the other study are as they were")
}
