package statistics

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// The height at a dose is max over s ≤ i of min over t ≥ i of the share of passes from s to t:
// Barlow, Bartholomew, Bremner and Brunk, Statistical Inference under Order Restrictions, 1972 (from
// memory).
func TestPoolingIsTheMaxMinFormula(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		doses, err := mergedDoses(drawDoses(t))
		require.NoError(t, err)
		heights := pooled(doses)
		require.Len(t, heights, len(doses))
		for i := range doses {
			highest := math.Inf(-1)
			for from := range i + 1 {
				lowest := math.Inf(1)
				for to := i; to < len(doses); to++ {
					var tried, passed float64
					for _, d := range doses[from : to+1] {
						tried, passed = tried+d.Tried, passed+d.Passed
					}
					lowest = min(lowest, passed/tried)
				}
				highest = max(highest, lowest)
			}
			assert.InDelta(t, highest, heights[i], 1e-12)
		}
	})
}

// The exact intervals of a curve and of its quantiles contain the truth in at least 95 % of 400
// studies, less three deviations of a binomial, whatever the shape: a brake in four that is proven
// only with 0.2 more torque has no normal distribution.
func TestMonotoneIntervalsCoverTheTruth(t *testing.T) {
	t.Parallel()
	n := 400
	if testing.Short() {
		n = 60
	}
	truth := func(x float64) float64 {
		phi := func(m float64) float64 { return distuv.UnitNormal.CDF((x - m) / 0.04) }
		return 0.75*phi(1) + 0.25*phi(1.2)
	}
	source := rand.NewPCG(14, 8)
	places, quantiles := [3]float64{0.95, 1.02, 1.18}, [3]float64{0.1, 0.5, 0.9}
	var at, of [3]int
	for range n {
		var doses []Dose
		for x := 0.7; x < 1.6; x += 0.01 {
			doses = append(doses, Dose{x, 10, distuv.Binomial{N: 10, P: truth(x), Src: source}.Rand()})
		}
		m, err := FitMonotone(doses)
		require.NoError(t, err)
		for k := range 3 {
			if i := m.Interval(places[k], 0.95); i.Low <= truth(places[k]) && truth(places[k]) <= i.High {
				at[k]++
			}
			i := m.QuantileInterval(quantiles[k], 0.95)
			if truth(i.Low) <= quantiles[k] && quantiles[k] <= truth(i.High) {
				of[k]++
			}
			require.Less(t, i.Low, m.Quantile(quantiles[k]))
			require.Greater(t, i.High, m.Quantile(quantiles[k]))
		}
	}
	least := 0.95*float64(n) - 3*math.Sqrt(0.05*0.95*float64(n))
	for k := range 3 {
		t.Logf("at %g: %d, quantile %g: %d of %d", places[k], at[k], quantiles[k], of[k], n)
		assert.GreaterOrEqual(t, float64(at[k]), least, "at %g", places[k])
		assert.GreaterOrEqual(t, float64(of[k]), least, "quantile %g", quantiles[k])
	}
}

func TestMonotoneCurve(t *testing.T) {
	m, err := FitMonotone([]Dose{{1, 10, 0}, {2, 10, 4}, {3, 10, 2}, {4, 10, 10}})
	require.NoError(t, err)
	for x, want := range map[float64]float64{0: 0, 1: 0, 1.5: 0.15, 2: 0.3, 2.5: 0.3, 3: 0.3, 3.5: 0.65, 4: 1, 9: 1} {
		assert.InDelta(t, want, m.Probability(x), 1e-12, "%g", x)
	}
	assert.InDelta(t, 3.5, m.Quantile(0.5), 1e-12)
	assert.InDelta(t, 2.5, m.Quantile(0.3), 1e-12, "the middle of where it stays")
	assert.True(t, math.IsNaN(m.Quantile(1)), "it does not pass it")
	wide := m.QuantileInterval(0.01, 0.95)
	assert.True(t, math.IsInf(wide.Low, -1), "ten trials do not exclude 1 in 100")
}

// Counts that fall do not come from a curve that does not.
func TestGoodnessOfFallingCounts(t *testing.T) {
	rising, err := FitMonotone([]Dose{{1, 40, 1}, {2, 40, 20}, {3, 40, 17}, {4, 40, 39}})
	require.NoError(t, err)
	assert.Greater(t, rising.Goodness(drawnBy(1)).PValue, 0.1)
	falling, err := FitMonotone([]Dose{{1, 40, 1}, {2, 40, 38}, {3, 40, 17}, {4, 40, 39}})
	require.NoError(t, err)
	assert.LessOrEqual(t, falling.Goodness(drawnBy(1)).PValue, 0.002)
}
