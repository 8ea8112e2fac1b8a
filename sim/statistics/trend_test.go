package statistics_test

import (
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/sim/statistics"
)

// readNile gives the annual flow of the Nile from 1871 to 1970.
func readNile(t *testing.T) (years, flow []float64) {
	t.Helper()
	text, err := os.ReadFile("testdata/nile.txt")
	require.NoError(t, err)
	for line := range strings.Lines(string(text)) {
		if strings.HasPrefix(line, "#") {
			continue
		}
		for field := range strings.FieldsSeq(line) {
			value, err := strconv.ParseFloat(field, 64)
			require.NoError(t, err)
			years, flow = append(years, float64(1871+len(years))), append(flow, value)
		}
	}
	require.Len(t, flow, 100)
	return years, flow
}

// Source: the example of Sen 1968, as the tests of SciPy (test_theilslopes) hold it: slope 4,
// interval 3.71 to 4.38 at 93 %.
func TestSlopeOfSensExample(t *testing.T) {
	line, err := statistics.TheilSen([]float64{1, 2, 3, 4, 10, 12, 18}, []float64{9, 15, 19, 20, 45, 55, 78}, 0.93)
	require.NoError(t, err)
	assert.InDelta(t, 4, line.Slope, 1e-12)
	assert.InDelta(t, 4, line.Intercept, 1e-12)
	assert.InDelta(t, 3.71, line.Interval.Low, 0.005)
	assert.InDelta(t, 4.38, line.Interval.High, 0.005)
}

// Values: SciPy 1.10.1, stats.theilslopes(flow, years, 0.95) and kendalltau; the flow has ties.
// Without a correction of continuity z is 1387/√var, and kendalltau's p of 3.61e-5 is of that.
func TestTrendOfTheNile(t *testing.T) {
	years, flow := readNile(t)
	line, err := statistics.TheilSen(years, flow, 0.95)
	require.NoError(t, err)
	assert.InDelta(t, -2.6, line.Slope, 1e-12)
	assert.InDelta(t, 5886.8, line.Intercept, 1e-9)
	assert.InDelta(t, -3.627906976744186, line.Interval.Low, 1e-12)
	assert.InDelta(t, -1.4285714285714286, line.Interval.High, 1e-12)

	trend, err := statistics.MannKendall(years, flow)
	require.NoError(t, err)
	assert.Equal(t, -1387, trend.S)
	uncorrected := 1387 / math.Sqrt(trend.Variance)
	assert.InEpsilon(t, 3.6111799194816154e-05, math.Erfc(uncorrected/math.Sqrt2), 1e-9)
	assert.InDelta(t, -1386/math.Sqrt(trend.Variance), trend.Z, 1e-12)
}

// Source: README of the Julia package Ipaper, mkTrend of a sample of R's PlantGrowth: z
// 0.35777087639996635, p 0.7205147871362552, slope 0.04.
func TestTrendOfPublishedExample(t *testing.T) {
	values := []float64{4.81, 4.17, 4.41, 3.59, 5.87, 3.83, 6.03, 4.89, 4.32, 4.69}
	times := []float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10}
	trend, err := statistics.MannKendall(times, values)
	require.NoError(t, err)
	assert.InDelta(t, 0.35777087639996635, trend.Z, 1e-12)
	assert.InDelta(t, 0.7205147871362552, trend.PValue, 1e-12)
	line, err := statistics.TheilSen(times, values, 0.95)
	require.NoError(t, err)
	assert.InDelta(t, 0.04, line.Slope, 1e-12)
}

// The line follows the units of its values and times, and the order of the values is nothing to it.
func TestLinesFollowUnitsAndOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		values := rapid.SliceOfN(rapid.Float64Range(-10, 10), 4, 30).Draw(t, "values")
		times := make([]float64, len(values))
		for i := range times {
			times[i] = float64(i)
		}
		line, err := statistics.TheilSen(times, values, 0.9)
		require.NoError(t, err)
		trend, err := statistics.MannKendall(times, values)
		require.NoError(t, err)

		order := rapid.Permutation(times).Draw(t, "order")
		turned := make([]float64, len(values))
		for i, at := range order {
			turned[i] = -8 * values[int(at)]
		}
		other, err := statistics.TheilSen(order, turned, 0.9)
		require.NoError(t, err)
		assert.InDelta(t, -8*line.Slope, other.Slope, 1e-9)
		assert.InDelta(t, -8*line.Intercept, other.Intercept, 1e-8)
		assert.LessOrEqual(t, other.Interval.Low, other.Slope)
		assert.GreaterOrEqual(t, other.Interval.High, other.Slope)
		opposite, err := statistics.MannKendall(order, turned)
		require.NoError(t, err)
		assert.Equal(t, -trend.S, opposite.S)
		assert.Equal(t, trend.PValue, opposite.PValue)
	})
}

// Source: Page's data as in Table 1 of Pettitt 1979, with K = 232, p = 0.0146 and the change after
// value 17 (manual of R's package wql, pett).
func TestChangeOfPettittsExample(t *testing.T) {
	change, err := statistics.Pettitt([]float64{
		-1.05, 0.96, 1.22, 0.58, -0.98, -0.03, -1.54, -0.71, -0.35, 0.66, 0.44, 0.91, -0.02, -1.42,
		1.26, -1.02, -0.81, 1.66, 1.05, 0.97, 2.14, 1.22, -0.24, 1.60, 0.72, -0.12, 0.44, 0.03, 0.66,
		0.56, 1.37, 1.66, 0.10, 0.80, 1.29, 0.49, -0.07, 1.18, 3.29, 1.84,
	})
	require.NoError(t, err)
	assert.Equal(t, 17, change.After)
	assert.Equal(t, -232, change.U)
	assert.InDelta(t, 0.0146, change.PValue, 5e-5)
}

// Source: Cobb, The problem of the Nile, Biometrika 65, 1978: the flow fell after 1898.
func TestChangeOfTheNile(t *testing.T) {
	years, flow := readNile(t)
	change, err := statistics.Pettitt(flow)
	require.NoError(t, err)
	assert.Equal(t, 1898.0, years[change.After-1])
	assert.Less(t, change.PValue, 1e-6)
	assert.Negative(t, change.Shift)
}

// series is a straight line with errors of Student's t of 4 degrees of freedom: heavy tails.
func series(random *rand.Rand, times []float64, slope, deviation float64) []float64 {
	values := make([]float64, len(times))
	for i, time := range times {
		chi := 0.0
		for range 4 {
			normal := random.NormFloat64()
			chi += normal * normal
		}
		values[i] = 1 + slope*time + deviation*random.NormFloat64()/math.Sqrt(chi/4)
	}
	return values
}

// Of all projections the interval contains the true time at the stated share, and Sen's interval
// the true slope, whether the limit is near or far. Ranks are rounded outwards: of few values it
// may be more, not less; of 20 one rank to each side is worth 0.013.
func TestProjectionsCoverTheTruth(t *testing.T) {
	t.Parallel()
	const trials, slope, confidence = 1000, 0.05, 0.9
	for name, c := range map[string]struct {
		values int
		meets  float64
	}{"few": {10, 60}, "usual": {20, 60}, "near": {40, 44}, "far": {40, 120}} {
		times := make([]float64, c.values)
		for i := range times {
			times[i] = 40 * float64(i) / float64(c.values)
		}
		limit := statistics.Limit{Value: 1 + slope*c.meets}
		random := rand.New(rand.NewPCG(uint64(c.values), 1))
		met, covered := 0, 0
		for range trials {
			values := series(random, times, slope, 0.1)
			projection, err := statistics.Project(times, values, limit, confidence)
			require.NoError(t, err)
			met += count(projection.Interval, c.meets)
			line, err := statistics.TheilSen(times, values, confidence)
			require.NoError(t, err)
			covered += count(line.Interval, slope)
		}
		t.Logf("%s: time %d, slope %d of %d", name, met, covered, trials)
		deviation := math.Sqrt(trials * confidence * (1 - confidence))
		assert.Greater(t, float64(met), confidence*trials-3*deviation, name)
		assert.Greater(t, float64(covered), confidence*trials-3*deviation, name)
		if c.values >= 20 {
			assert.Less(t, float64(met), (confidence+0.013)*trials+3*deviation, name)
			assert.Less(t, float64(covered), (confidence+0.013)*trials+3*deviation, name)
		}
	}
}

func count(interval statistics.Interval, truth float64) int {
	if interval.Low <= truth && truth <= interval.High {
		return 1
	}
	return 0
}

func TestProjectionOfNoApproach(t *testing.T) {
	times := []float64{1, 2, 3, 4, 5, 6}
	falling := []float64{6, 5.1, 3.9, 3, 2.1, 0.9}
	never, err := statistics.Project(times, falling, statistics.Limit{Value: 8}, 0.9)
	require.NoError(t, err)
	assert.True(t, math.IsInf(never.Meets, 1) && math.IsInf(never.Interval.Low, 1))

	lower, err := statistics.Project(times, falling, statistics.Limit{Value: -3, Lower: true}, 0.9)
	require.NoError(t, err)
	assert.InDelta(t, 10, lower.Meets, 0.3)
	assert.Less(t, lower.Interval.Low, lower.Meets)
	assert.Greater(t, lower.Interval.High, lower.Meets)
	assert.False(t, math.IsInf(lower.Interval.High, 1))

	// Without a significant trend the high end is open.
	level, err := statistics.Project(times, []float64{1, 3, 2, 4, 1, 3}, statistics.Limit{Value: 8}, 0.9)
	require.NoError(t, err)
	assert.True(t, math.IsInf(level.Interval.High, 1))
}

// A projection is that of the mirror image to the mirrored limit.
func TestProjectionOfTheMirrorImage(t *testing.T) {
	random := rand.New(rand.NewPCG(2, 1))
	times := []float64{0, 1, 2, 4, 8, 9, 12, 13}
	values := series(random, times, 0.1, 0.05)
	up, err := statistics.Project(times, values, statistics.Limit{Value: 5}, 0.95)
	require.NoError(t, err)
	for i := range values {
		values[i] = -values[i]
	}
	down, err := statistics.Project(times, values, statistics.Limit{Value: -5, Lower: true}, 0.95)
	require.NoError(t, err)
	assert.Equal(t, up, down)
}

func TestRefusedSeries(t *testing.T) {
	_, err := statistics.TheilSen([]float64{1, 2}, []float64{1, 2, 3}, 0.9)
	require.EqualError(t, err, "2 times for 3 values")
	_, err = statistics.TheilSen([]float64{1, 1, 2}, []float64{1, 2, math.NaN()}, 0.9)
	require.EqualError(t, err, "value 3 is NaN at the time 2, want finite ones")
	_, err = statistics.TheilSen([]float64{1, 1, 1}, []float64{1, 2, 3}, 0.9)
	require.ErrorContains(t, err, "fewer than three times")
	_, err = statistics.MannKendall(nil, nil)
	require.EqualError(t, err, "0 values, want 3 or more")
	_, err = statistics.Pettitt([]float64{1})
	require.EqualError(t, err, "1 values, want 2 or more")
	_, err = statistics.Project([]float64{1, 2, 3, 4, 5}, []float64{1, 2, 3, 4, 5}, statistics.Limit{Value: math.Inf(1)}, 0.9)
	require.ErrorContains(t, err, "the limit is +Inf")
}

// By hand from Holm 1979: 0.01·4, 0.02·3, then 0.03·2 and 0.04·1, which may not be less than those before.
func TestHolm(t *testing.T) {
	assert.InDeltaSlice(t, []float64{0.06, 0.04, 0.06, 0.06}, statistics.Holm([]float64{0.03, 0.01, 0.04, 0.02}), 1e-12)
	assert.Equal(t, []float64{1, 1}, statistics.Holm([]float64{0.7, 0.6}))
	assert.Empty(t, statistics.Holm(nil))
}

// Source: Cobb's Nile, R's acf(Nile): 0.498 at lag 1 (from memory); independent errors exceed the limit in
// one of twenty series, first-order ones of 0.5 nearly always.
func TestSerialCorrelation(t *testing.T) {
	_, flow := readNile(t)
	assert.InDelta(t, 0.498, statistics.SerialCorrelation(flow).Lag1, 0.0005)
	assert.Zero(t, statistics.SerialCorrelation([]float64{2, 2, 2}).Lag1)
	random := rand.New(rand.NewPCG(1, 2))
	const trials = 2000
	alone, coupled := 0, 0
	for range trials {
		errors, sums, last := make([]float64, 50), make([]float64, 50), 0.0
		for i := range errors {
			errors[i] = random.NormFloat64()
			last = 0.5*last + errors[i]
			sums[i] = last
		}
		if statistics.SerialCorrelation(errors).Dependent() {
			alone++
		}
		if statistics.SerialCorrelation(sums).Dependent() {
			coupled++
		}
	}
	assert.True(t, statistics.ClopperPearson(alone, trials, 0.99).High > 0.04 && statistics.ClopperPearson(alone, trials, 0.99).Low < 0.06, alone)
	assert.Greater(t, coupled, trials*9/10)
}
