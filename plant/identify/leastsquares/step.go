package leastsquares

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// linear is the model about a point: residuals r + J D⁻¹ z for a step z = D Δp, over the
// parameters that are free.
type linear struct {
	free     []int
	scale    []float64  // D of the free parameters
	triangle *mat.Dense // R of J D⁻¹ = Q R
	rotated  []float64  // Qᵀ r, its first part
	singular []float64  // singular values of R, the largest first
	left     []float64  // Uᵀ Qᵀ r
	right    mat.Dense  // V of R = U S Vᵀ
}

// newLinear decomposes the derivatives. The residuals go along as one more column, so that the
// triangle holds Qᵀ r and Q is never formed.
func newLinear(jacobian *mat.Dense, residuals []float64, free []int, scale []float64) *linear {
	n := len(free)
	l := &linear{free: free}
	both := mat.NewDense(len(residuals), n+1, nil)
	for k, j := range free {
		l.scale = append(l.scale, scale[j])
		for i := range residuals {
			both.Set(i, k, jacobian.At(i, j)/scale[j])
		}
	}
	both.SetCol(n, residuals)
	var qr mat.QR
	qr.Factorize(both)
	var whole mat.Dense
	qr.RTo(&whole)
	l.triangle = mat.DenseCopyOf(whole.Slice(0, n, 0, n))
	l.rotated = mat.Col(nil, n, whole.Slice(0, n, 0, n+1))
	var svd mat.SVD
	svd.Factorize(l.triangle, mat.SVDFull)
	l.singular = svd.Values(nil)
	var left mat.Dense
	svd.UTo(&left)
	svd.VTo(&l.right)
	l.left = product(left.T(), l.rotated)
	return l
}

func product(m mat.Matrix, v []float64) []float64 {
	var to mat.VecDense
	to.MulVec(m, mat.NewVecDense(len(v), v))
	return to.RawVector().Data
}

// within returns the step of least squares that is no longer than the radius.
//
//	z(λ) = −V (S² + λ)⁻¹ S Uᵀ Qᵀ r,  λ = 0, or ‖z(λ)‖ = radius
//
// λ is found by Newton's method on 1/‖z‖, kept between bounds (Moré 1978, section 5, from memory).
func (l *linear) within(radius, noise float64) []float64 {
	lambda := 0.0
	coordinates := l.coordinates(lambda, noise)
	length := floats.Norm(coordinates, 2)
	if length > radius {
		low, high := 0.0, l.gradientLength()/radius
		for range 60 {
			if math.Abs(length-radius) <= 0.1*radius {
				break
			}
			if length > radius {
				low = lambda
			} else {
				high = lambda
			}
			lambda += l.newton(lambda, coordinates, length) * (length/radius - 1)
			if !(lambda > low && lambda < high) {
				lambda = max(math.Sqrt(low*high), 1e-3*high)
			}
			coordinates = l.coordinates(lambda, noise)
			length = floats.Norm(coordinates, 2)
		}
	}
	return product(&l.right, coordinates)
}

// coordinates is Vᵀ z(λ). Without λ, directions that are lost in the errors of the derivatives
// are left alone.
func (l *linear) coordinates(lambda, noise float64) []float64 {
	to := make([]float64, len(l.singular))
	for k, s := range l.singular {
		if lambda > 0 || s > noise*l.singular[0] {
			to[k] = -s * l.left[k] / (s*s + lambda)
		}
	}
	return to
}

// newton is ‖z‖² / Σ z_k²/(s_k² + λ): times ‖z‖/radius − 1 it is Newton's step of λ.
func (l *linear) newton(lambda float64, coordinates []float64, length float64) float64 {
	sum := 0.0
	for k, z := range coordinates {
		if z != 0 {
			s := l.singular[k]
			sum += z * z / (s*s + lambda)
		}
	}
	return length * length / sum
}

// gradientLength is ‖D⁻¹ Jᵀ r‖: λ never exceeds it over the radius.
func (l *linear) gradientLength() float64 {
	sum := 0.0
	for k, s := range l.singular {
		sum += s * l.left[k] * s * l.left[k]
	}
	return math.Sqrt(sum)
}

// reduction is what the linear model promises of a step: ‖r‖² − ‖r + J D⁻¹ z‖².
func (l *linear) reduction(z []float64) float64 {
	along := product(l.triangle, z)
	return -floats.Dot(along, along) - 2*floats.Dot(along, l.rotated)
}
