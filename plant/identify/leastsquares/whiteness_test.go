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

func TestWhitenessOfTooFewResiduals(t *testing.T) {
	_, err := leastsquares.LjungBox([]float64{1, 2, 3}, 3)
	require.ErrorContains(t, err, "3 lags for 3 residuals")
	_, err = leastsquares.LjungBox([]float64{1, 1, 1}, 1)
	require.ErrorContains(t, err, "all equal")
}
