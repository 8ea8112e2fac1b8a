package leastsquares

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Result of a fit. Errors and intervals hold as far as the model is linear within them, and for
// independent errors of measurement (Seber and Wild, Nonlinear Regression, Wiley 1989, section
// 2.1, from memory).
type Result struct {
	Status      Status
	Evaluations int
	Iterations  int
	Estimates   []Estimate
	// Residuals are √w (observed − predicted), in the order of the observed values with a weight.
	Residuals    []float64
	SumOfSquares float64
	// DegreesOfFreedom are the observed values less the parameters that they determine.
	DegreesOfFreedom int
	// ResidualSD is √(sum of squares/degrees of freedom): near 1 where the weights are 1/σ².
	ResidualSD float64
	// Determination is the coefficient of determination, 1 − S/Σ w (y − ȳ)², NaN where the
	// observed values are all equal.
	Determination float64
	// Offset is how far the parameters are from the minimum of the model that is linear about them, as a share of the
	// radius of their confidence region: with r_∥ the component of the residuals in the tangent plane, r_⊥ that across it,
	// and n values that determine p parameters,
	//
	//	P = (|r_∥|/√p)/(|r_⊥|/√(n−p))
	//
	// and 0 where they determine none. Source: Bates and Watts, A relative-offset orthogonality convergence criterion for
	// nonlinear least squares, Technometrics 23(2), 1981, pp. 179–183 (from memory), where 0.001 is converged.
	Offset float64
	// Correlation of the errors of the parameters, NaN for a parameter without an error.
	Correlation *mat.SymDense
	// Information is Fisher's, JᵀWJ/s² with the residual standard deviation s.
	Information *mat.SymDense
	// Condition is the largest over the least eigenvalue of the information that is scaled to
	// a diagonal of ones, over the parameters inside their bounds.
	Condition float64
	// Directions are the combinations of parameters that the observed values tell badly or not
	// at all, the worst first.
	Directions []Direction
}

// Knowledge says what is known of the value of a parameter.
type Knowledge string

// Only an estimated parameter has a standard error and an interval.
const (
	Estimated    Knowledge = "estimated"
	AtLower      Knowledge = "at its lower bound"
	AtUpper      Knowledge = "at its upper bound"
	Fixed        Knowledge = "fixed"
	Undetermined Knowledge = "not determined by these values"
)

// Estimate is what was found for a parameter.
type Estimate struct {
	Name      string
	Value     float64
	Knowledge Knowledge
	// StandardError and the ends of the 95 % interval (Student's t) are NaN unless estimated.
	StandardError, Lower95, Upper95 float64
}

// unfinished is a result without errors of the parameters.
func (s *search) unfinished() Result {
	result := Result{
		Status: Interrupted, Evaluations: s.evaluations, Iterations: s.iterations,
		SumOfSquares: s.sum, Condition: math.NaN(), ResidualSD: math.NaN(), Determination: s.determination(),
	}
	for j, parameter := range s.problem.Parameters {
		nan := math.NaN()
		result.Estimates = append(result.Estimates, Estimate{parameter.Name, s.point[j], s.knowledge(j), nan, nan, nan})
	}
	for _, value := range s.residual {
		result.Residuals = append(result.Residuals, -value)
	}
	return result
}

// knowledge of a parameter by its bounds alone.
func (s *search) knowledge(j int) Knowledge {
	switch bounds := s.bounds[j]; {
	case bounds.Lower == bounds.Upper:
		return Fixed
	case s.point[j] == bounds.Lower:
		return AtLower
	case s.point[j] == bounds.Upper:
		return AtUpper
	}
	return Estimated
}

func (s *search) result(status Status) Result {
	result := s.unfinished()
	result.Status = status
	var inside []int
	for j := range s.point {
		if result.Estimates[j].Knowledge == Estimated {
			inside = append(inside, j)
		}
	}
	spectrum := newSpectrum(s, inside)
	result.DegreesOfFreedom = len(s.rows) - spectrum.rank()
	result.ResidualSD = math.Sqrt(s.sum / float64(result.DegreesOfFreedom))
	result.Information = s.information(result.ResidualSD)
	result.Condition = spectrum.condition()
	result.Directions = spectrum.directions(s.problem.Parameters)
	result.errors(spectrum)
	if p := float64(spectrum.rank()); p > 0 {
		along := spectrum.tangential()
		result.Offset = math.Sqrt(along / p / ((s.sum - along) / float64(result.DegreesOfFreedom)))
	}
	return result
}

// determination: see Result.
func (s *search) determination() float64 {
	weights, mean := 0.0, 0.0
	for k, i := range s.rows {
		weight := s.root[k] * s.root[k]
		weights += weight
		mean += weight / weights * (s.problem.Observed[i] - mean)
	}
	total := 0.0
	for k, i := range s.rows {
		apart := s.root[k] * (s.problem.Observed[i] - mean)
		total += apart * apart
	}
	if total == 0 {
		return math.NaN()
	}
	return 1 - s.sum/total
}

func (s *search) information(residualSD float64) *mat.SymDense {
	to := mat.NewSymDense(len(s.point), nil)
	to.SymOuterK(1/(residualSD*residualSD), s.jacobian.T())
	return to
}

// errors fills in standard errors, intervals and correlations.
//
//	cov(p) = s² (JᵀWJ)⁻¹,  p ± t(0.975, degrees of freedom) √cov
func (r *Result) errors(spectrum *spectrum) {
	n := len(r.Estimates)
	r.Correlation = mat.NewSymDense(n, nil)
	for i := range n {
		for j := range i + 1 {
			r.Correlation.SetSym(i, j, math.NaN())
		}
	}
	reach := distuv.StudentsT{Sigma: 1, Nu: float64(r.DegreesOfFreedom)}.Quantile(0.975)
	var known []int // positions among the parameters inside their bounds
	for k, j := range spectrum.inside {
		estimate := &r.Estimates[j]
		if spectrum.lost(k) {
			estimate.Knowledge = Undetermined
			continue
		}
		known = append(known, k)
		estimate.StandardError = r.ResidualSD * math.Sqrt(spectrum.covariance(k, k))
		estimate.Lower95 = estimate.Value - reach*estimate.StandardError
		estimate.Upper95 = estimate.Value + reach*estimate.StandardError
	}
	for _, k := range known {
		for _, l := range known {
			of := spectrum.covariance(k, l) / math.Sqrt(spectrum.covariance(k, k)*spectrum.covariance(l, l))
			r.Correlation.SetSym(spectrum.inside[k], spectrum.inside[l], of)
		}
	}
}

// Undetermined names the parameters that these values do not determine.
func (r *Result) Undetermined() []string {
	var names []string
	for _, estimate := range r.Estimates {
		if estimate.Knowledge == Undetermined {
			names = append(names, estimate.Name)
		}
	}
	return names
}

// normalised returns a vector with its largest component positive.
func normalised(v []float64) []float64 {
	if v[floats.MaxIdx(absolute(v))] < 0 {
		floats.Scale(-1, v)
	}
	return v
}

func absolute(v []float64) []float64 {
	to := make([]float64, len(v))
	for i, value := range v {
		to[i] = math.Abs(value)
	}
	return to
}
