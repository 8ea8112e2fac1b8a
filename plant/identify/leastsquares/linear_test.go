package leastsquares_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"holdbench/plant/identify/leastsquares"
)

// linearProblem is y = X p + e with a column of ones and random others.
type linearProblem struct {
	x       *mat.Dense
	weights []float64
}

func newLinearProblem(random *rand.Rand, rows, columns int) linearProblem {
	l := linearProblem{x: mat.NewDense(rows, columns, nil)}
	for i := range rows {
		l.x.Set(i, 0, 1)
		for j := 1; j < columns; j++ {
			l.x.Set(i, j, random.NormFloat64()*math.Pow(10, float64(j)))
		}
		l.weights = append(l.weights, 0.1+random.Float64())
	}
	return l
}

func (l linearProblem) problem(observed []float64) leastsquares.Problem {
	_, columns := l.x.Dims()
	problem := leastsquares.Problem{
		Observed: observed, Weights: l.weights,
		Model: func(predicted, p []float64) {
			to := mat.NewVecDense(len(predicted), predicted)
			to.MulVec(l.x, mat.NewVecDense(len(p), p))
		},
		Jacobian: func(to *mat.Dense, _ []float64) { to.Copy(l.x) },
	}
	for j := range columns {
		problem.Parameters = append(problem.Parameters, leastsquares.Parameter{Name: fmt.Sprintf("p%d", j+1)})
	}
	return problem
}

// observed adds errors with the variance 1/w to given parameters.
func (l linearProblem) observed(random *rand.Rand, p []float64) []float64 {
	var y mat.VecDense
	y.MulVec(l.x, mat.NewVecDense(len(p), p))
	to := y.RawVector().Data
	for i := range to {
		to[i] += random.NormFloat64() / math.Sqrt(l.weights[i])
	}
	return to
}

// Source: closed form, p = (XᵀWX)⁻¹ XᵀWy and its covariance s²(XᵀWX)⁻¹.
func TestLinearProblemsHaveTheClosedForm(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		columns := rapid.IntRange(1, 5).Draw(t, "columns")
		rows := rapid.IntRange(columns+2, 40).Draw(t, "rows")
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		l := newLinearProblem(random, rows, columns)
		p := make([]float64, columns)
		for j := range p {
			p[j] = 1 + random.Float64()
		}
		y := l.observed(random, p)
		fit, err := leastsquares.Fit(context.Background(), l.problem(y), leastsquares.Settings{})
		require.NoError(t, err)
		require.True(t, fit.Status.Converged(), fit.Status)

		var weighted, normal, inverse mat.Dense
		weighted.Mul(l.x.T(), mat.NewDiagDense(rows, l.weights))
		var right, closed mat.VecDense
		right.MulVec(&weighted, mat.NewVecDense(rows, y))
		normal.Mul(&weighted, l.x)
		require.NoError(t, inverse.Inverse(&normal))
		closed.MulVec(&inverse, &right)
		for j, estimate := range fit.Estimates {
			deviation := fit.ResidualSD * math.Sqrt(inverse.At(j, j))
			assert.InDelta(t, closed.AtVec(j), estimate.Value, 1e-6*deviation)
			assert.InEpsilon(t, deviation, estimate.StandardError, 1e-6)
			assert.InDelta(t, inverse.At(0, j)/math.Sqrt(inverse.At(0, 0)*inverse.At(j, j)), fit.Correlation.At(0, j), 1e-6)
		}
	})
}

// The 95 % intervals of linear problems with normal errors are exact: of 3000 about 2850 contain
// the true value, with a standard deviation of 12 (binomial).
func TestIntervalsCoverTheTruth(t *testing.T) {
	const trials = 3000
	random := rand.New(rand.NewPCG(17, 1))
	l := newLinearProblem(random, 8, 3) // few values: Student's t matters
	truth := []float64{3, -2, 0.5}
	covered := 0
	for range trials {
		fit, err := leastsquares.Fit(t.Context(), l.problem(l.observed(random, truth)), leastsquares.Settings{})
		require.NoError(t, err)
		if last := fit.Estimates[2]; last.Lower95 <= truth[2] && truth[2] <= last.Upper95 {
			covered++
		}
	}
	t.Logf("%d of %d", covered, trials)
	deviation := math.Sqrt(trials * 0.95 * 0.05)
	assert.InDelta(t, 0.95*trials, covered, 3*deviation)
}
