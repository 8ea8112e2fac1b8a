package leastsquares

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Problem is a model, its parameters, and what was measured.
type Problem struct {
	Parameters []Parameter
	// Observed holds the measured values, those of one signal in the order of time.
	Observed []float64
	// Weights belong to the observed values, 1/σ² where the standard deviation σ of one is known;
	// 0 leaves a value out. None means equal weights.
	Weights []float64
	// Model writes the value that it predicts for each observed one. It is called only within the
	// bounds. Where it has no value it writes NaN, and the fit goes another way.
	Model func(predicted, parameters []float64)
	// Jacobian writes the derivative of the predicted value i by the parameter j to (i, j). None
	// means differences of the model.
	Jacobian func(derivatives *mat.Dense, parameters []float64)
}

// Parameter is one value to be found.
type Parameter struct {
	Name  string
	Start float64
	// Bounds limit the value; none means no limits, two equal ones a fixed value.
	Bounds *Bounds
	// Typical is a usual magnitude, in the unit of the parameter. Differences are formed over a
	// small part of the present value, and near zero of this one. 0 takes that of the start, or 1.
	Typical float64
}

// Bounds are the least and the greatest value that a parameter may take; either may be infinite.
type Bounds struct {
	Lower, Upper float64
}

func (p Parameter) bounds() Bounds {
	if p.Bounds == nil {
		return Bounds{math.Inf(-1), math.Inf(1)}
	}
	return *p.Bounds
}

func (b Bounds) clip(value float64) float64 { return min(max(value, b.Lower), b.Upper) }

// check lists all that is wrong with a problem.
func (p *Problem) check() error {
	var wrong []error
	if p.Model == nil {
		wrong = append(wrong, errors.New("no model is given"))
	}
	if len(p.Parameters) == 0 {
		wrong = append(wrong, errors.New("no parameter is given"))
	}
	for i, parameter := range p.Parameters {
		if err := parameter.check(); err != nil {
			wrong = append(wrong, fmt.Errorf("parameter %d, %q: %w", i+1, parameter.Name, err))
		}
	}
	return errors.Join(append(wrong, p.checkObserved())...)
}

func (p Parameter) check() error {
	bounds := p.bounds()
	switch {
	case !finite(p.Start):
		return fmt.Errorf("starts at %g, want a finite value", p.Start)
	case !finite(p.Typical) || p.Typical < 0:
		return fmt.Errorf("has the typical magnitude %g, want a finite value, 0 or more", p.Typical)
	case !(bounds.Lower <= bounds.Upper): // NaN is refused too
		return fmt.Errorf("has the bounds %g to %g, want the lower one first", bounds.Lower, bounds.Upper)
	case bounds.clip(p.Start) != p.Start:
		return fmt.Errorf("starts at %g, outside its bounds %g to %g", p.Start, bounds.Lower, bounds.Upper)
	}
	return nil
}

func (p *Problem) checkObserved() error {
	if p.Weights != nil && len(p.Weights) != len(p.Observed) {
		return fmt.Errorf("%d weights for %d observed values", len(p.Weights), len(p.Observed))
	}
	used := 0
	for i, value := range p.Observed {
		weight := p.weight(i)
		if !finite(weight) || weight < 0 {
			return fmt.Errorf("the weight of observed value %d is %g, want a finite value, 0 or more", i+1, weight)
		}
		if weight == 0 {
			continue
		}
		if !finite(value) {
			return fmt.Errorf("observed value %d is %g, want a finite value", i+1, value)
		}
		used++
	}
	if used <= len(p.Parameters) {
		return fmt.Errorf("%d observed values for %d parameters, want at least one more than parameters", used, len(p.Parameters))
	}
	return nil
}

func (p *Problem) weight(i int) float64 {
	if p.Weights == nil {
		return 1
	}
	return p.Weights[i]
}

func finite(value float64) bool { return !math.IsNaN(value) && !math.IsInf(value, 0) }
