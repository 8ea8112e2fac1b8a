package leastsquares

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// residuals calls the model and counts the calls. Rows are the observed values with a weight.
type residuals struct {
	problem     *Problem
	scheme      Differences
	bounds      []Bounds
	rows        []int     // index of the observed value of each row
	root        []float64 // √w of each row
	predicted   []float64
	derivatives *mat.Dense // of the model, as the problem's own Jacobian gives it
	evaluations int
}

func newResiduals(problem *Problem, scheme Differences) *residuals {
	r := &residuals{problem: problem, scheme: scheme, predicted: make([]float64, len(problem.Observed))}
	for i := range problem.Observed {
		if weight := problem.weight(i); weight > 0 {
			r.rows = append(r.rows, i)
			r.root = append(r.root, math.Sqrt(weight))
		}
	}
	for _, parameter := range problem.Parameters {
		r.bounds = append(r.bounds, parameter.bounds())
	}
	if problem.Jacobian != nil {
		r.derivatives = mat.NewDense(len(problem.Observed), len(problem.Parameters), nil)
	}
	return r
}

// at writes √w (f(p) − y) and returns the sum of squares. It is not finite where the model has no
// value.
func (r *residuals) at(to, p []float64) float64 {
	r.evaluations++
	r.problem.Model(r.predicted, p)
	sum := 0.0
	for k, i := range r.rows {
		to[k] = r.root[k] * (r.predicted[i] - r.problem.Observed[i])
		sum += to[k] * to[k]
	}
	return sum
}

// jacobian writes the derivatives of the residuals by the parameters at p, where the residuals
// are known.
func (r *residuals) jacobian(ctx context.Context, to *mat.Dense, p, known []float64) error {
	if r.derivatives != nil {
		r.problem.Jacobian(r.derivatives, p)
		for k, i := range r.rows {
			for j := range p {
				to.Set(k, j, r.root[k]*r.derivatives.At(i, j))
			}
		}
	} else {
		for j := range p {
			if err := ctx.Err(); err != nil {
				return err
			}
			if !r.column(to, j, p, known) {
				return fmt.Errorf("the model has no value next to %s = %g, so that no derivative can be formed",
					r.problem.Parameters[j].Name, p[j])
			}
		}
	}
	for _, value := range to.RawMatrix().Data {
		if !finite(value) {
			return errors.New("a derivative of the model is not finite")
		}
	}
	return nil
}

// column forms the derivative by one parameter from differences, central ones where both sides
// are within the bounds and have a value.
//
//	∂r/∂p ≈ (r(p+h) − r(p−h))/2h,  h = ∛ε |p|;  one-sided: (r(p+h) − r(p))/h,  h = √ε |p|
//
// ε is the spacing of floating-point numbers at 1. Source: Nocedal and Wright, section 8.1 (from
// memory).
func (r *residuals) column(to *mat.Dense, j int, p, known []float64) bool {
	h := r.stepLength(j, p[j])
	low, high := p[j]-h, p[j]+h
	upper, hasUpper := r.beside(j, p, high)
	if !hasUpper {
		high, upper = p[j], known
	}
	hasLower := false
	lower := known
	if r.scheme == Central || !hasUpper {
		if beside, ok := r.beside(j, p, low); ok {
			lower, hasLower = beside, true
		}
	}
	if !hasLower {
		low = p[j]
	}
	if high == low {
		to.SetCol(j, make([]float64, len(known)))
		return r.bounds[j].Lower == r.bounds[j].Upper // a fixed value needs no derivative
	}
	for k := range known {
		to.Set(k, j, (upper[k]-lower[k])/(high-low))
	}
	return true
}

// beside returns the residuals with one parameter changed, if they can be had.
func (r *residuals) beside(j int, p []float64, value float64) ([]float64, bool) {
	if r.bounds[j].clip(value) != value {
		return nil, false
	}
	changed := append([]float64(nil), p...)
	changed[j] = value
	to := make([]float64, len(r.rows))
	return to, finite(r.at(to, changed))
}

func (r *residuals) stepLength(j int, value float64) float64 {
	parameter := r.problem.Parameters[j]
	typical := cmp.Or(parameter.Typical, math.Abs(parameter.Start), 1)
	const nearZero = 1e-4 // of the typical magnitude
	return r.scheme.part() * max(math.Abs(value), nearZero*typical)
}

// Differences is how derivatives are formed where the problem gives no Jacobian.
type Differences int

// Central differences need two values of the model a parameter and are good to about ten
// digits, forward differences need one and are good to about eight.
const (
	Central Differences = iota
	Forward
)

// epsilon is the spacing of floating-point numbers at 1.
const epsilon = 0x1p-52

func (d Differences) part() float64 {
	if d == Forward {
		return math.Sqrt(epsilon)
	}
	return math.Cbrt(epsilon)
}

// noise is the relative error of a derivative that is to be expected.
func (r *residuals) noise() float64 {
	switch {
	case r.derivatives != nil:
		return epsilon
	case r.scheme == Forward:
		return math.Sqrt(epsilon)
	default:
		return math.Pow(epsilon, 2./3)
	}
}
