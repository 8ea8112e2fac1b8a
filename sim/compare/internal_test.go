package compare

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/scenarios"
	"holdbench/sim"
)

// The parts of two paths put together are the paths again.
func TestPathsAreTakenApart(t *testing.T) {
	names := rapid.SliceOfN(rapid.SampledFrom([]string{"a", "b", "c"}), 0, 7)
	rapid.Check(t, func(t *rapid.T) {
		x, y := names.Draw(t, "A"), names.Draw(t, "B")
		p := pathOf(visitsOf(x), visitsOf(y))
		whole := func(own []string) []string {
			list := []string{}
			for _, s := range p.Common {
				list = append(list, s.State)
			}
			list = append(list, own...)
			for _, s := range p.Joined {
				list = append(list, s.State)
			}
			return list
		}
		require.Equal(t, append([]string{}, x...), whole(p.OnlyA))
		require.Equal(t, append([]string{}, y...), whole(p.OnlyB))
		if len(p.OnlyA) > 0 && len(p.OnlyB) > 0 {
			require.NotEqual(t, p.OnlyA[0], p.OnlyB[0], "they would not have parted yet")
		}
	})
}

func visitsOf(names []string) []sim.Visit {
	var list []sim.Visit
	for _, name := range names {
		list = append(list, sim.Visit{State: name})
	}
	return list
}

// A long run is kept at every second, every fourth … scan.
func TestRowsAreBounded(t *testing.T) {
	c, _, err := scenarios.LoadCase("healthy-down", scenarios.Overrides{})
	require.NoError(t, err)
	r := &Run{Case: c}
	for _, of := range sim.Columns(c.Sequence) {
		r.columns = append(r.columns, column{Column: of, places: map[string]int{}})
	}
	w := &recorder{run: r, stride: 1, most: 1000}
	_, err = sim.Run(c, w)
	require.NoError(t, err)
	require.LessOrEqual(t, len(r.at), 1001)
	require.Equal(t, 4, w.stride, "3169 scans")
	for i := range r.at {
		require.InDelta(t, float64(i)*0.008, r.at[i], 1e-9)
		require.Len(t, r.columns[0].values, len(r.at))
	}
}
