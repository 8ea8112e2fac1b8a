package leastsquares

import (
	"errors"
	"fmt"
	"math"
	"sort"

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

// RunsTest says whether values change sides of their median as often as values at random do.
type RunsTest struct {
	Runs         int
	Above, Below int     // of the median; values on it are left out
	Z            float64 // negative: too few runs, a slow deviation of the model
	PValue       float64 // of both sides
}

// Runs counts the runs R of residuals above and below their median, n₁ and n₂ of them.
//
//	z = (R − μ)/σ,  μ = 2 n₁ n₂/(n₁+n₂) + 1,  σ² = (μ−1)(μ−2)/(n₁+n₂−1)
//
// Source: Wald and Wolfowitz, Annals of Mathematical Statistics 11, 1940; NIST/SEMATECH e-Handbook
// of Statistical Methods, section 1.3.5.13, where it asks for more than ten on each side (sections
// from memory).
func Runs(residuals []float64) (RunsTest, error) {
	ordered := append([]float64(nil), residuals...)
	sort.Float64s(ordered)
	test := RunsTest{}
	n := len(ordered)
	if n < 2 || !finite(ordered[0]) || !finite(ordered[n-1]) {
		return test, fmt.Errorf("%d residuals, want two or more, all finite", n)
	}
	median := (ordered[(n-1)/2] + ordered[n/2]) / 2
	last := 0
	for _, value := range residuals {
		side := 0
		switch {
		case value > median:
			side = 1
			test.Above++
		case value < median:
			side = -1
			test.Below++
		}
		if side != 0 && side != last {
			test.Runs++
			last = side
		}
	}
	above, below := float64(test.Above), float64(test.Below)
	mean := 2*above*below/(above+below) + 1
	variance := (mean - 1) * (mean - 2) / (above + below - 1)
	if !(variance > 0) {
		return test, fmt.Errorf("%d residuals above and %d below their median, want two or more on each side", test.Above, test.Below)
	}
	test.Z = (float64(test.Runs) - mean) / math.Sqrt(variance)
	test.PValue = 2 * distuv.UnitNormal.Survival(math.Abs(test.Z))
	return test, nil
}
