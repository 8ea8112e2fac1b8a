package leastsquares

import (
	"math"
	"sort"
	"strings"

	"gonum.org/v1/gonum/mat"
)

// weakIndex is the condition index above which a combination of parameters is named: 30 and more
// are moderate to strong relations. Source: Belsley, Kuh and Welsch, Regression Diagnostics, Wiley
// 1980, section 3.2 (from memory).
const weakIndex = 30

// spectrum is the information of the parameters inside their bounds, each column of derivatives
// scaled to the length 1: singular values and their directions.
type spectrum struct {
	inside []int
	length []float64 // of the columns
	values []float64 // singular, the largest first
	axes   mat.Dense // a column for each value
	least  float64   // the least value that is more than the errors of the derivatives
	along  []float64 // the component of the residuals along each direction
}

func newSpectrum(s *search, inside []int) *spectrum {
	to := &spectrum{inside: inside}
	if len(inside) == 0 {
		return to
	}
	scale := make([]float64, len(s.point))
	for j := range scale {
		scale[j] = columnLength(s.jacobian, j)
		if scale[j] == 0 {
			scale[j] = 1 // the parameter has no effect
		}
	}
	l := newLinear(s.jacobian, s.residual, inside, scale)
	to.length, to.values, to.axes = l.scale, l.singular, l.right
	to.along = l.left
	to.least = 100 * s.noise() * l.singular[0]
	return to
}

// rank counts the directions that the observed values tell.
func (s *spectrum) rank() int {
	rank := 0
	for _, value := range s.values {
		if value > s.least {
			rank++
		}
	}
	return rank
}

// tangential is the sum of squares of the residuals along the directions that are told.
func (s *spectrum) tangential() float64 {
	sum := 0.0
	for i, value := range s.values {
		if value > s.least {
			sum += s.along[i] * s.along[i]
		}
	}
	return sum
}

// condition is that of the scaled information: the square of the ratio of singular values.
func (s *spectrum) condition() float64 {
	if len(s.values) == 0 {
		return math.NaN()
	}
	ratio := s.values[0] / s.values[len(s.values)-1]
	return ratio * ratio
}

// lost tells whether a parameter takes part in a direction that the observed values do not tell.
func (s *spectrum) lost(k int) bool {
	share := 0.0
	for i, value := range s.values {
		if value <= s.least {
			share += s.axes.At(k, i) * s.axes.At(k, i)
		}
	}
	return share > 1e-6
}

// covariance of two parameters for a residual standard deviation of 1, over the directions that
// are told.
func (s *spectrum) covariance(k, l int) float64 {
	sum := 0.0
	for i, value := range s.values {
		if value > s.least {
			sum += s.axes.At(k, i) / value * s.axes.At(l, i) / value
		}
	}
	return sum / (s.length[k] * s.length[l])
}

// Direction is a combination of parameters along which the predicted values hardly change.
type Direction struct {
	// Index is the condition index: the largest singular value of the scaled derivatives over
	// that of this direction.
	Index float64
	// Told is false where the index is lost in the errors of the derivatives.
	Told  bool
	Terms []Term // with a share of 0.1 or more, the largest first
}

// Term is the part of one parameter in a direction.
type Term struct {
	Name string
	// Share is the component of the direction of length 1, in parameters that are scaled to equal
	// effects on the predicted values.
	Share float64
	// Change is the same in the unit of the parameter: changes of all terms together by these
	// amounts, or by a multiple, hardly show.
	Change float64
}

func (s *spectrum) directions(parameters []Parameter) []Direction {
	var to []Direction
	for i := len(s.values) - 1; i >= 0; i-- {
		index := s.values[0] / s.values[i]
		told := s.values[i] > s.least
		if told && index <= weakIndex {
			break
		}
		to = append(to, Direction{Index: index, Told: told, Terms: s.terms(i, parameters)})
	}
	return to
}

func (s *spectrum) terms(i int, parameters []Parameter) []Term {
	var to []Term
	for k, share := range normalised(mat.Col(nil, i, &s.axes)) {
		if math.Abs(share) >= 0.1 {
			to = append(to, Term{parameters[s.inside[k]].Name, share, share / s.length[k]})
		}
	}
	sort.SliceStable(to, func(a, b int) bool { return math.Abs(to[a].Share) > math.Abs(to[b].Share) })
	return to
}

// String names the combination: "b1 up, b2 down".
func (d Direction) String() string {
	words := make([]string, 0, len(d.Terms))
	for _, term := range d.Terms {
		way := " up"
		if term.Share < 0 {
			way = " down"
		}
		words = append(words, term.Name+way)
	}
	return strings.Join(words, ", ")
}
