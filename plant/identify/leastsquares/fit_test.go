package leastsquares_test

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"holdbench/plant/identify/leastsquares"
)

// decay is y = a exp(−b t) + c sampled at t = 0, 0.1, … 3.9.
func decay(a, b, c float64) leastsquares.Problem {
	model := func(predicted, p []float64) {
		for i := range predicted {
			predicted[i] = p[0]*math.Exp(-p[1]*0.1*float64(i)) + p[2]
		}
	}
	observed := make([]float64, 40)
	model(observed, []float64{a, b, c})
	for i := range observed {
		observed[i] += 0.01 * math.Sin(7*float64(i)) // repeatable errors
	}
	return leastsquares.Problem{
		Parameters: []leastsquares.Parameter{{Name: "a", Start: 1}, {Name: "b", Start: 1}, {Name: "c", Start: 0}},
		Observed:   observed, Model: model,
	}
}

func TestParameterAtItsBound(t *testing.T) {
	problem := decay(2, 1.5, -0.3)
	problem.Parameters[2].Bounds = &leastsquares.Bounds{Lower: 0, Upper: math.Inf(1)}
	problem.Model = within(t, problem, 2, problem.Model)
	fit, err := leastsquares.Fit(t.Context(), problem, leastsquares.Settings{})
	require.NoError(t, err)
	assert.True(t, fit.Status.Converged(), fit.Status)
	c := fit.Estimates[2]
	assert.Equal(t, leastsquares.AtLower, c.Knowledge)
	assert.Equal(t, 0.0, c.Value)
	assert.True(t, math.IsNaN(c.StandardError) && math.IsNaN(c.Lower95) && math.IsNaN(fit.Correlation.At(0, 2)))
	assert.Equal(t, 38, fit.DegreesOfFreedom)

	// The others are those of the problem with c fixed at 0.
	problem.Parameters[2].Bounds = &leastsquares.Bounds{}
	fixed, err := leastsquares.Fit(t.Context(), problem, leastsquares.Settings{})
	require.NoError(t, err)
	assert.Equal(t, leastsquares.Fixed, fixed.Estimates[2].Knowledge)
	for j := range 2 {
		assert.InEpsilon(t, fixed.Estimates[j].Value, fit.Estimates[j].Value, 1e-7)
		assert.InEpsilon(t, fixed.Estimates[j].StandardError, fit.Estimates[j].StandardError, 1e-6)
	}
}

// within fails the test when a model is called outside the bounds of a parameter.
func within(t *testing.T, problem leastsquares.Problem, j int, model func(predicted, p []float64)) func(predicted, p []float64) {
	t.Helper()
	bounds := *problem.Parameters[j].Bounds
	return func(predicted, p []float64) {
		if p[j] < bounds.Lower || p[j] > bounds.Upper {
			t.Errorf("%s = %g, outside %v", problem.Parameters[j].Name, p[j], bounds)
		}
		model(predicted, p)
	}
}

// Of a product only the product is known: the direction that is not told raises one factor and
// lowers the other by the same part.
func TestProductOfTwoParametersIsNotDetermined(t *testing.T) {
	for name, scheme := range map[string]leastsquares.Differences{"central": leastsquares.Central, "forward": leastsquares.Forward} {
		t.Run(name, func(t *testing.T) {
			problem := decay(2, 1.5, 0.2)
			single := problem.Model
			problem.Parameters = append(problem.Parameters, leastsquares.Parameter{Name: "gain", Start: 1.3}, leastsquares.Parameter{Name: "unused", Start: 1})
			problem.Model = func(predicted, p []float64) { single(predicted, []float64{p[0] * p[3], p[1], p[2]}) }
			fit, err := leastsquares.Fit(t.Context(), problem, leastsquares.Settings{Differences: scheme})
			require.NoError(t, err)
			assert.True(t, fit.Status.Converged(), fit.Status)
			assert.Equal(t, []string{"a", "gain", "unused"}, fit.Undetermined())
			assert.True(t, math.IsNaN(fit.Estimates[0].StandardError))
			assert.Equal(t, 37, fit.DegreesOfFreedom)
			require.Len(t, fit.Directions, 2)
			assert.Equal(t, "unused up", fit.Directions[0].String())
			assert.Contains(t, []string{"a up, gain down", "gain up, a down"}, fit.Directions[1].String())
			assert.False(t, fit.Directions[1].Told)
			a, gain := fit.Directions[1].Terms[0], fit.Directions[1].Terms[1]
			if a.Name != "a" {
				a, gain = gain, a
			}
			assert.InDelta(t, -1, a.Change/fit.Estimates[0].Value/(gain.Change/fit.Estimates[3].Value), 1e-5)

			// What is determined is as good as without the product.
			alone, err := leastsquares.Fit(t.Context(), decay(2, 1.5, 0.2), leastsquares.Settings{})
			require.NoError(t, err)
			assert.InEpsilon(t, alone.Estimates[1].StandardError, fit.Estimates[1].StandardError, 1e-4)
			assert.InEpsilon(t, alone.Estimates[0].Value, fit.Estimates[0].Value*fit.Estimates[3].Value, 1e-6)
		})
	}
}

// Given derivatives, forward differences and central ones lead to the same values.
func TestDerivativesAgree(t *testing.T) {
	problem := decay(2, 1.5, 0.2)
	central, err := leastsquares.Fit(t.Context(), problem, leastsquares.Settings{})
	require.NoError(t, err)
	forward, err := leastsquares.Fit(t.Context(), problem, leastsquares.Settings{Differences: leastsquares.Forward})
	require.NoError(t, err)
	problem.Jacobian = func(to *mat.Dense, p []float64) {
		for i := range problem.Observed {
			at := 0.1 * float64(i)
			to.SetRow(i, []float64{math.Exp(-p[1] * at), -at * p[0] * math.Exp(-p[1]*at), 1})
		}
	}
	given, err := leastsquares.Fit(t.Context(), problem, leastsquares.Settings{})
	require.NoError(t, err)
	for j := range given.Estimates {
		for _, other := range []leastsquares.Result{central, forward} {
			assert.InEpsilon(t, given.Estimates[j].Value, other.Estimates[j].Value, 1e-6)
			assert.InEpsilon(t, given.Estimates[j].StandardError, other.Estimates[j].StandardError, 1e-5)
		}
	}
	assert.Less(t, given.Evaluations, forward.Evaluations)
}

// A weight of 0 leaves a value out, weights that are all equal change nothing.
func TestWeights(t *testing.T) {
	problem := decay(2, 1.5, 0.2)
	plain, err := leastsquares.Fit(t.Context(), problem, leastsquares.Settings{})
	require.NoError(t, err)
	problem.Observed = append(problem.Observed, math.NaN())
	for range problem.Observed {
		problem.Weights = append(problem.Weights, 4)
	}
	problem.Weights[40] = 0
	weighted, err := leastsquares.Fit(t.Context(), problem, leastsquares.Settings{})
	require.NoError(t, err)
	for j := range plain.Estimates {
		assert.InEpsilon(t, plain.Estimates[j].Value, weighted.Estimates[j].Value, 1e-8)
		assert.InEpsilon(t, plain.Estimates[j].StandardError, weighted.Estimates[j].StandardError, 1e-7)
	}
	assert.InEpsilon(t, 2*plain.ResidualSD, weighted.ResidualSD, 1e-9)
	assert.InDelta(t, plain.Determination, weighted.Determination, 1e-12)
	assert.Len(t, weighted.Residuals, 40)
}

// Fisher's information of equal errors is XᵀX/s², and its inverse the covariance.
func TestInformationIsTheInverseOfTheCovariance(t *testing.T) {
	fit, err := leastsquares.Fit(t.Context(), decay(2, 1.5, 0.2), leastsquares.Settings{})
	require.NoError(t, err)
	var covariance mat.Dense
	require.NoError(t, covariance.Inverse(fit.Information))
	for j, estimate := range fit.Estimates {
		assert.InEpsilon(t, estimate.StandardError, math.Sqrt(covariance.At(j, j)), 1e-8)
	}
	reach := distuv.StudentsT{Sigma: 1, Nu: 37}.Quantile(0.975)
	assert.InDelta(t, 2.026, reach, 5e-4) // table of Student's t, 37 degrees of freedom
	b := fit.Estimates[1]
	assert.InEpsilon(t, reach*b.StandardError, b.Upper95-b.Value, 1e-12)
}

// A model without a value in places is fitted around them.
func TestModelWithoutAValueInPlaces(t *testing.T) {
	problem := decay(2, 1.5, 0.2)
	whole := problem.Model
	problem.Model = func(predicted, p []float64) {
		whole(predicted, p)
		if p[1] > 1.6 {
			predicted[3] = math.NaN()
		}
	}
	fit, err := leastsquares.Fit(t.Context(), problem, leastsquares.Settings{})
	require.NoError(t, err)
	assert.True(t, fit.Status.Converged())
	assert.InDelta(t, 1.5, fit.Estimates[1].Value, 0.02)

	problem.Parameters[1].Start = 1.7
	_, err = leastsquares.Fit(t.Context(), problem, leastsquares.Settings{})
	require.EqualError(t, err, "the model has no finite value at the start")
}

func TestLimitAndInterrupt(t *testing.T) {
	fit, err := leastsquares.Fit(t.Context(), decay(2, 1.5, 0.2), leastsquares.Settings{Evaluations: 8})
	require.NoError(t, err)
	assert.Equal(t, leastsquares.EvaluationsSpent, fit.Status)
	assert.False(t, fit.Status.Converged())

	ctx, cancel := context.WithCancel(t.Context())
	problem := decay(2, 1.5, 0.2)
	whole, calls := problem.Model, 0
	problem.Model = func(predicted, p []float64) {
		if calls++; calls == 12 {
			cancel()
		}
		whole(predicted, p)
	}
	fit, err = leastsquares.Fit(ctx, problem, leastsquares.Settings{})
	require.ErrorIs(t, err, context.Canceled)
	assert.Equal(t, leastsquares.Interrupted, fit.Status)
	assert.LessOrEqual(t, fit.Evaluations, 14)
	assert.True(t, math.IsNaN(fit.Estimates[0].StandardError))
}

func TestRefusedProblems(t *testing.T) {
	for want, change := range map[string]func(*leastsquares.Problem){
		"no model is given":     func(p *leastsquares.Problem) { p.Model = nil },
		"no parameter is given": func(p *leastsquares.Problem) { p.Parameters = nil },
		`parameter 1, "a": starts at NaN, want a finite value`: func(p *leastsquares.Problem) { p.Parameters[0].Start = math.NaN() },
		`parameter 2, "b": starts at 1, outside its bounds 2 to 3`: func(p *leastsquares.Problem) {
			p.Parameters[1].Bounds = &leastsquares.Bounds{Lower: 2, Upper: 3}
		},
		`has the bounds 3 to 2, want the lower one first`: func(p *leastsquares.Problem) {
			p.Parameters[1].Bounds = &leastsquares.Bounds{Lower: 3, Upper: 2}
		},
		"3 observed values for 3 parameters":      func(p *leastsquares.Problem) { p.Observed = p.Observed[:3] },
		"1 weights for 40 observed values":        func(p *leastsquares.Problem) { p.Weights = []float64{1} },
		"observed value 2 is +Inf, want a finite": func(p *leastsquares.Problem) { p.Observed[1] = math.Inf(1) },
	} {
		problem := decay(2, 1.5, 0.2)
		change(&problem)
		_, err := leastsquares.Fit(t.Context(), problem, leastsquares.Settings{})
		require.ErrorContains(t, err, want)
	}
}

// The usual size of an identification: 2000 values, five parameters, differences.
func BenchmarkFit(b *testing.B) {
	set := readNIST(b, "MGH17")
	for i := len(set.x); i < 2000; i++ {
		set.x, set.y = append(set.x, set.x[i%33]), append(set.y, set.y[i%33])
	}
	problem := set.problem("MGH17", "start_2")
	for b.Loop() {
		if _, err := leastsquares.Fit(b.Context(), problem, leastsquares.Settings{}); err != nil {
			b.Fatal(err)
		}
	}
}

// A search that its limit of evaluations ends at the start says how far off that is: for the mean of values about 0 and a
// start at 2, |r_∥| = 2·√4 with p = 1 and |r_⊥| = √4 with n − p = 3.
func TestOffsetOfASearchThatDidNotEnd(t *testing.T) {
	mean := leastsquares.Problem{
		Parameters: []leastsquares.Parameter{{Name: "mean", Start: 2}}, Observed: []float64{-1, 1, -1, 1},
		Model: func(predicted, p []float64) {
			for i := range predicted {
				predicted[i] = p[0]
			}
		},
	}
	fit, err := leastsquares.Fit(t.Context(), mean, leastsquares.Settings{Evaluations: 1})
	require.NoError(t, err)
	assert.Equal(t, leastsquares.EvaluationsSpent, fit.Status)
	assert.InEpsilon(t, 4/math.Sqrt(4.0/3), fit.Offset, 1e-6)

	fit, err = leastsquares.Fit(t.Context(), mean, leastsquares.Settings{})
	require.NoError(t, err)
	assert.Less(t, fit.Offset, 1e-3, "converged by the criterion of Bates and Watts")
}
