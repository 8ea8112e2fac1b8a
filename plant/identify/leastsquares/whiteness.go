package leastsquares

import (
	"errors"
	"fmt"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// LjungBoxTest says whether values in the order of time are free of correlation with those
// before: a small PValue says that they are not, and that the model misses something.
type LjungBoxTest struct {
	Autocorrelations []float64 // of lag 1, 2, …
	Statistic        float64
	PValue           float64
}

// LjungBox tests the residuals of one signal, sampled at equal intervals, by their
// autocorrelations r_k at the lags 1 to h, where n are the residuals.
//
//	Q = n (n+2) Σ r_k²/(n−k),  of the chi-squared distribution with h degrees of freedom
//
// Source: Ljung and Box, On a measure of lack of fit in time series models, Biometrika 65(2),
// 1978, pp. 297–303 (from memory). No degree of freedom is taken off: the parameters of a
// regression are not those of an autoregression. Ten lags are usual, and at most a fifth of the
// residuals (common practice).
func LjungBox(residuals []float64, lags int) (LjungBoxTest, error) {
	n := len(residuals)
	if lags < 1 || lags >= n {
		return LjungBoxTest{}, fmt.Errorf("%d lags for %d residuals, want 1 or more, and fewer than residuals", lags, n)
	}
	mean := stat.Mean(residuals, nil)
	apart := make([]float64, n)
	total := 0.0
	for i, value := range residuals {
		apart[i] = value - mean
		total += apart[i] * apart[i]
	}
	if !(total > 0) || !finite(total) {
		return LjungBoxTest{}, errors.New("the residuals are all equal or not finite: their autocorrelation has no value")
	}
	var test LjungBoxTest
	for k := 1; k <= lags; k++ {
		sum := 0.0
		for i := k; i < n; i++ {
			sum += apart[i] * apart[i-k]
		}
		r := sum / total
		test.Autocorrelations = append(test.Autocorrelations, r)
		test.Statistic += float64(n) * float64(n+2) * r * r / float64(n-k)
	}
	test.PValue = distuv.ChiSquared{K: float64(lags)}.Survival(test.Statistic)
	return test, nil
}
