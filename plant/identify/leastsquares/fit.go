package leastsquares

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// Settings of a fit; the zero value is a good one.
type Settings struct {
	Differences Differences
	// Evaluations limits the calls of the model; the derivatives of one point may exceed it. 0
	// means 3000 for each parameter.
	Evaluations int
	// Reduction ends the fit when the sum of squares fell by less than this part of itself, and
	// less than that is promised for the next step. 0 means 1e-14.
	Reduction float64
	// Step ends the fit when the steps are this part of the parameters. 0 means 1e-12.
	Step float64
	// Gradient ends the fit when the cosine between the residuals and each column of derivatives
	// is at most this. 0 means 1e-12.
	Gradient float64
}

// Status says why a fit ended.
type Status string

// The first three are a solution; of the others the parameters are the best that were found.
const (
	GradientZero     Status = "converged: the gradient is zero"
	ReductionSmall   Status = "converged: no step reduces the sum of squares further"
	StepSmall        Status = "converged: the steps are below the tolerance"
	EvaluationsSpent Status = "not converged: the limit of evaluations is reached"
	Stalled          Status = "not converged: the steps are below the tolerance, the gradient is not zero"
	Interrupted      Status = "not converged: interrupted"
)

// Converged tells whether the parameters are a minimum.
func (s Status) Converged() bool {
	return s == GradientZero || s == ReductionSmall || s == StepSmall
}

// A step below the tolerance with a cosine above this is no minimum: the model is not smooth.
const stalledCosine = 1e-3

// Fit finds the parameters with the least weighted sum of squares, from the start onward: a
// local minimum. When the context is cancelled it returns what was found, without errors of the
// parameters, and the error of the context.
func Fit(ctx context.Context, problem Problem, settings Settings) (Result, error) {
	if err := problem.check(); err != nil {
		return Result{}, err
	}
	s := newSearch(&problem, settings)
	if !finite(s.sum) {
		return Result{}, errors.New("the model has no finite value at the start")
	}
	status, err := s.run(ctx)
	if err == nil && !s.current {
		err = s.derive(ctx) // the errors of the parameters belong to the last point
	}
	switch {
	case err != nil && ctx.Err() != nil:
		return s.unfinished(), ctx.Err()
	case err != nil:
		return Result{}, fmt.Errorf("fit: %w", err)
	}
	return s.result(status), nil
}

// search is the state of a fit.
type search struct {
	*residuals
	settings   Settings
	point      []float64
	residual   []float64
	sum        float64    // of squares at the point
	jacobian   *mat.Dense // at the point, if current
	current    bool
	scale      []float64 // D: the greatest length so far of each column
	radius     float64   // of the trust region, 0 before the first step
	iterations int
}

func newSearch(problem *Problem, settings Settings) *search {
	n := len(problem.Parameters)
	settings.fill(n)
	s := &search{residuals: newResiduals(problem, settings.Differences), settings: settings, scale: make([]float64, n)}
	for _, parameter := range problem.Parameters {
		s.point = append(s.point, parameter.Start)
	}
	s.residual = make([]float64, len(s.rows))
	s.jacobian = mat.NewDense(len(s.rows), n, nil)
	s.sum = s.at(s.residual, s.point)
	return s
}

func (s *Settings) fill(parameters int) {
	s.Evaluations = cmp.Or(s.Evaluations, 3000*parameters)
	s.Reduction = cmp.Or(s.Reduction, 1e-14)
	s.Step = cmp.Or(s.Step, 1e-12)
	s.Gradient = cmp.Or(s.Gradient, 1e-12)
}

func (s *search) run(ctx context.Context) (Status, error) {
	for {
		if err := s.derive(ctx); err != nil {
			return "", err
		}
		free := s.free()
		cosine := s.cosine(free)
		if cosine <= s.settings.Gradient {
			return GradientZero, nil
		}
		s.iterations++
		status, err := s.improve(ctx, newLinear(s.jacobian, s.residual, free, s.scale))
		if status == StepSmall && cosine > stalledCosine {
			status = Stalled
		}
		if status != "" || err != nil {
			return status, err
		}
	}
}

// derive forms the derivatives at the point, and the scale.
func (s *search) derive(ctx context.Context) error {
	if err := s.residuals.jacobian(ctx, s.jacobian, s.point, s.residual); err != nil {
		return err
	}
	s.current = true
	for j := range s.scale {
		s.scale[j] = max(s.scale[j], columnLength(s.jacobian, j))
		if s.scale[j] == 0 {
			s.scale[j] = 1
		}
	}
	if s.radius == 0 {
		s.radius = firstRadius(s.scaledLength())
	}
	return nil
}

// firstRadius trusts the model at first as far as the parameters are from zero.
func firstRadius(length float64) float64 {
	if length == 0 {
		return 1
	}
	return length
}

func columnLength(m *mat.Dense, j int) float64 { return floats.Norm(mat.Col(nil, j, m), 2) }

func (s *search) scaledLength() float64 {
	sum := 0.0
	for j, value := range s.point {
		sum += s.scale[j] * value * s.scale[j] * value
	}
	return math.Sqrt(sum)
}

// free lists the parameters that may move: not those that the gradient presses against a bound.
func (s *search) free() []int {
	var free []int
	for j, bounds := range s.bounds {
		slope := s.slope(j)
		atLower := s.point[j] == bounds.Lower && slope >= 0
		atUpper := s.point[j] == bounds.Upper && slope <= 0
		if slope != 0 && (atLower || atUpper) || bounds.Lower == bounds.Upper {
			continue
		}
		free = append(free, j)
	}
	return free
}

// slope is half the derivative of the sum of squares by a parameter.
func (s *search) slope(j int) float64 {
	return floats.Dot(mat.Col(nil, j, s.jacobian), s.residual)
}

// cosine is the largest one between the residuals and a column of derivatives.
func (s *search) cosine(free []int) float64 {
	largest := 0.0
	for _, j := range free {
		if length := columnLength(s.jacobian, j) * math.Sqrt(s.sum); length > 0 {
			largest = max(largest, math.Abs(s.slope(j))/length)
		}
	}
	return largest
}

// improve tries steps, shorter and shorter ones, until one reduces the sum of squares.
func (s *search) improve(ctx context.Context, l *linear) (Status, error) {
	for {
		if err := ctx.Err(); err != nil {
			return "", err
		}
		if s.evaluations >= s.settings.Evaluations {
			return EvaluationsSpent, nil
		}
		trial, z := s.trial(l)
		promised := l.reduction(z) / s.sum
		residual := make([]float64, len(s.residual))
		sum := math.Inf(1)
		if promised > 0 {
			sum = s.at(residual, trial)
		}
		gained := 1 - sum/s.sum
		if !finite(gained) {
			gained = -1
		}
		s.adapt(gained/max(promised, epsilon), floats.Norm(z, 2))
		accepted := gained > 1e-4*promised && promised > 0
		if accepted {
			s.point, s.residual, s.sum, s.current = trial, residual, sum, false
		}
		switch {
		case s.sum == 0 || promised > 0 && promised <= s.settings.Reduction && math.Abs(gained) <= s.settings.Reduction:
			return ReductionSmall, nil
		case s.radius <= s.settings.Step*max(s.scaledLength(), math.SmallestNonzeroFloat64):
			return StepSmall, nil
		case accepted:
			return "", nil
		}
	}
}

// trial is the next point, projected on the bounds, and the step that it means.
func (s *search) trial(l *linear) (point, z []float64) {
	z = l.within(s.radius, s.noise())
	point = append([]float64(nil), s.point...)
	for k, j := range l.free {
		point[j] = s.bounds[j].clip(point[j] + z[k]/l.scale[k])
		z[k] = (point[j] - s.point[j]) * l.scale[k]
	}
	return point, z
}

// adapt changes the trust region by what a step of a length gained of what was promised (Nocedal
// and Wright, algorithm 4.1; it grows by 3, not by 2, which halves the way through the long curved
// valleys of MGH17 and Bennett5).
func (s *search) adapt(ratio, length float64) {
	switch {
	case ratio < 0.25:
		s.radius = 0.25 * min(s.radius, max(length, 0.1*s.radius))
	case ratio > 0.75:
		s.radius = max(s.radius, 3*length)
	}
}
