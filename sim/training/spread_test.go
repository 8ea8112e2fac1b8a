package training

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Each fault that can be seen is drawn as often as any other: 500 draws of each level, with the runs of the faults
// made once. A count is binomial; four deviations and a half are missed by chance in 7 of a million counts.
func TestFaultsAreDrawnEvenly(t *testing.T) {
	t.Parallel()
	const draws, deviations = 500, 4.5
	for _, level := range []Level{One, Mild, Data} {
		d := drawingOf(t, level, 1)
		counts := map[string]int{}
		for seed := uint64(1); seed <= draws; seed++ {
			known := d.shown
			d.reseed(seed)
			d.shown = known
			counts[firstOf(t, d).Truth.Name()]++
		}
		classes := map[bool]int{} // of wrong data, and of others
		for name := range counts {
			classes[isData(d.named(t, name))]++
		}
		require.Greater(t, len(counts), 20, level)
		for name, s := range d.shown {
			if s == nil {
				assert.Zero(t, counts[name], name)
				continue
			}
			share := 1 / float64(len(counts))
			if level == Data { // half of the draws are wrong data
				share = 0.5 / float64(classes[isData(&s.Entry)])
			}
			want := draws * share
			assert.InDelta(t, want, counts[name], deviations*math.Sqrt(want*(1-share)), "%s: %s", level, name)
		}
	}
}

// A series has no fault twice until the level has no other, and goes on with other seeds.
func TestSeries(t *testing.T) {
	t.Parallel()
	c := shortCase(t)
	series, err := NewSeries(c, Two, nil)
	require.NoError(t, err)
	first, err := series.Next(t.Context(), 1)
	require.NoError(t, err)
	assert.EqualValues(t, 1, first.Seed)
	require.Equal(t, []string{first.Truth[0].Entry.Name, first.Truth[1].Entry.Name}, series.Drawn)
	second, err := series.Next(t.Context(), first.Seed)
	require.NoError(t, err)
	assert.Greater(t, second.Seed, first.Seed)
	require.Len(t, series.Drawn, 4)
	assert.Len(t, slices.Compact(slices.Sorted(slices.Values(series.Drawn))), 4)
	series.Drawn = []string{first.Truth[1].Entry.Name}
	other, err := series.Next(t.Context(), first.Seed)
	require.NoError(t, err)
	assert.Greater(t, other.Seed, first.Seed, "that seed draws the second fault, too")
	series.Drawn = nil
	for i := range series.d.faults {
		series.Drawn = append(series.Drawn, series.d.faults[i].Name)
	}
	anew, err := series.Next(t.Context(), 1)
	require.NoError(t, err)
	assert.Equal(t, first.Truth.Name(), anew.Truth.Name(), "it begins again")
	assert.Len(t, series.Drawn, 2)
}

// The runs that riddles of a series share make none of them another one than its seed alone does.
func TestSeriesDrawsAsAlone(t *testing.T) {
	t.Parallel()
	c := shortCase(t)
	for _, level := range []Level{One, Two, Data} {
		series, err := NewSeries(c, level, nil)
		require.NoError(t, err)
		for seed := uint64(1); seed < 4; seed++ {
			r, err := series.Next(t.Context(), seed)
			require.NoError(t, err)
			alone, err := Draw(t.Context(), c, level, r.Seed)
			require.NoError(t, err)
			assert.Equal(t, fmt.Sprint(alone.Truth), fmt.Sprint(r.Truth))
			assert.Equal(t, alone.Visible, r.Visible)
			assert.Equal(t, alone.Remedies, r.Remedies)
			for i := range alone.Causes {
				assert.Equal(t, alone.Causes[i].Name, r.Causes[i].Name)
				assert.Equal(t, alone.Causes[i].Why, r.Causes[i].Why)
			}
		}
	}
}

// Levels have nothing in common: neither the fault that a seed draws, nor the place of the right answer.
func TestSeedsTellNothingOfOtherLevels(t *testing.T) {
	t.Parallel()
	const draws = 60
	one, two := drawingOf(t, One, 1), drawingOf(t, Two, 1)
	same, places := 0, 0
	for seed := uint64(1); seed <= draws; seed++ {
		one.reseed(seed)
		two.reseed(seed)
		if one.order()[0].Name == two.order()[0].Name {
			same++
		}
		if placeOf(one, "lining-worn") == placeOf(two, "lining-worn") {
			places++
		}
	}
	assert.Less(t, same, draws/6)
	assert.Less(t, places, draws/2)
}

// placeOf is where shuffling puts the first of six.
func placeOf(d *drawing, truth string) int {
	list := []int{0, 1, 2, 3, 4, 5}
	shuffle(list, d.stream(choiceStream, truth))
	return slices.Index(list, 0)
}
