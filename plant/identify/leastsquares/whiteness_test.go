package leastsquares_test

import (
	"math"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"holdbench/plant/identify/leastsquares"
)

func readLew(t *testing.T) []float64 {
	t.Helper()
	text, err := os.ReadFile("testdata/Lew.txt")
	require.NoError(t, err)
	var values []float64
	for line := range strings.Lines(string(text)) {
		if !strings.HasPrefix(line, "#") {
			values = append(values, numbers(t, strings.Fields(line))...)
		}
	}
	return values
}

// Source: NIST/ITL Statistical Reference Datasets, Lew: certified autocorrelation of lag 1. With
// one lag the statistic has a closed form in it.
func TestLjungBoxOfNISTData(t *testing.T) {
	const certified = -0.307304800605679
	test, err := leastsquares.LjungBox(readLew(t), 1)
	require.NoError(t, err)
	assert.InDelta(t, certified, test.Autocorrelations[0], 1e-14)
	assert.InDelta(t, 200*202*certified*certified/199, test.Statistic, 1e-10)
	assert.InDelta(t, 2*distuv.UnitNormal.Survival(math.Sqrt(test.Statistic)), test.PValue, 1e-12,
		"a chi-squared value of one degree of freedom is the square of a normal one")
}

// Values: statsmodels 0.13.5, acorr_ljungbox, of the same data.
func TestLjungBoxOfMoreLags(t *testing.T) {
	test, err := leastsquares.LjungBox(readLew(t), 10)
	require.NoError(t, err)
	assert.InEpsilon(t, 815.5394423122, test.Statistic, 1e-9)
	assert.Less(t, test.PValue, 1e-12)
}

// Source: NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.5.13: Z = 2.6938 for the
// data set Lew (from memory).
func TestRunsOfNISTData(t *testing.T) {
	test, err := leastsquares.Runs(readLew(t))
	require.NoError(t, err)
	assert.InDelta(t, 2.6938, test.Z, 5e-5)
	assert.Equal(t, 120, test.Runs)
}

// Source: R. Koopman, Re: Wald-Wolfowitz runs test, mathgroup archive mg53905, 2005: 11 ones and
// 14 zeros in 13 runs have the mean 13.32 and the standard deviation 2.41059.
func TestRunsOfPublishedExample(t *testing.T) {
	const half = 0.5 // on the median, left out
	test, err := leastsquares.Runs([]float64{0, 0, 0, 1, 0, 1, 1, 0, 0, 1, 1, 0, 0, 1, 1, 0, 0, 0, 1, 0, 1, 1, 1, 0, 0, half, half, half, half})
	require.NoError(t, err)
	assert.Equal(t, []int{13, 11, 14}, []int{test.Runs, test.Above, test.Below})
	assert.InDelta(t, (13-13.32)/2.41059, test.Z, 1e-5)
}

func TestWhitenessOfTooFewResiduals(t *testing.T) {
	_, err := leastsquares.LjungBox([]float64{1, 2, 3}, 3)
	require.ErrorContains(t, err, "3 lags for 3 residuals")
	_, err = leastsquares.LjungBox([]float64{1, 1, 1}, 1)
	require.ErrorContains(t, err, "all equal")
	_, err = leastsquares.Runs([]float64{1, 1, 1, 2})
	require.ErrorContains(t, err, "1 residuals above and 0 below")
	_, err = leastsquares.Runs([]float64{1, math.NaN()})
	require.ErrorContains(t, err, "all finite")
}
