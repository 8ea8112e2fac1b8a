package training

import (
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
func TestDrawOther(t *testing.T) {
	t.Parallel()
	c := shortCase(t)
	first, before, err := DrawOther(t.Context(), c, Two, 1, nil)
	require.NoError(t, err)
	assert.EqualValues(t, 1, first.Seed)
	require.Equal(t, []string{first.Truth[0].Entry.Name, first.Truth[1].Entry.Name}, before)
	second, after, err := DrawOther(t.Context(), c, Two, first.Seed, before)
	require.NoError(t, err)
	assert.Greater(t, second.Seed, first.Seed)
	require.Len(t, after, 4)
	assert.Len(t, slices.Compact(slices.Sorted(slices.Values(after))), 4)
	again, err := Draw(t.Context(), c, Two, second.Seed)
	require.NoError(t, err)
	assert.Equal(t, second.Truth.Name(), again.Truth.Name(), "the seed alone draws it")
	var all []string
	for _, f := range drawingOf(t, Two, 1).faults {
		all = append(all, f.Name)
	}
	anew, after, err := DrawOther(t.Context(), c, Two, 1, all)
	require.NoError(t, err)
	assert.Equal(t, first.Truth.Name(), anew.Truth.Name(), "it begins again")
	assert.Len(t, after, 2)
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
