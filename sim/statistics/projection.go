package statistics

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"holdbench/plant/portable"
)

// Limit is a value that a series must not pass.
type Limit struct {
	Value float64
	Lower bool // the series must stay above it, not below
}

// Projection says when a trend meets a limit if it goes on as it is.
type Projection struct {
	Meets float64 // time; infinite: never
	// Interval of that time. A high end that is infinite says that the values are also in keeping
	// with no approach at all: their trend is not significant at the confidence asked for.
	Interval Interval
}

// Project gives the time at which the straight trend of values meets a limit, by Theil and Sen's
// method: the line through each pair of values of different times meets the limit at
//
//	T_ij = t_i + (limit − y_i)(t_j − t_i)/(y_j − y_i),  infinite where it does not approach
//
// The result is the median of these times, and the interval takes those at the ranks of Sen's
// interval of a slope. Ground: values (y_i − limit)/(T − t_i) of the true T have no trend, and the
// T for which Mann and Kendall's test finds none lie between these ranks; that their errors grow
// toward T goes into the variance (see unequal). No published source is known to us; a test
// simulates the coverage. It holds for values that are independent of each other, with symmetric
// errors about a straight line, and for a limit that lies ahead: where Meets is not after the last
// time, the limit is reached, and the interval means no more than that. A trend that bends is not
// seen.
//
// Five values are the least. It panics unless 0 < confidence < 1.
func Project(times, values []float64, limit Limit, confidence float64) (Projection, error) {
	if err := checkSeries(times, values, 5); err != nil {
		return Projection{}, err
	}
	if !finite(limit.Value) {
		return Projection{}, fmt.Errorf("the limit is %g, want a finite value", limit.Value)
	}
	met := limit.pairTimes(times, values)
	if len(met) < 3 {
		return Projection{}, errors.New("the values are of fewer than three times: they have no trend")
	}
	to := Projection{Meets: middle(met)}
	variance := kendallVariance(times, values) * unequal(times, to.Meets)
	to.Interval = senInterval(met, variance, confidence)
	return to, nil
}

// unequal is the variance of Mann and Kendall's S of values with the standard deviations
// 1/(T − t_i), over that of values with equal ones. For normal values with the deviations σ
//
//	cov(sign(u_j − u_i), sign(u_k − u_i)) = 2/π asin ρ,  ρ = σ_i²/√((σ_i²+σ_j²)(σ_i²+σ_k²))
//
// (Sheppard's formula), summed over all two pairs with a value in common, with minus where that
// value is the later one of one pair and the earlier one of the other. Of many values some are
// taken: the ratio depends on where T lies among the times, not on their number.
func unequal(times []float64, meets float64) float64 {
	ordered := slices.Sorted(slices.Values(times))
	if last := ordered[len(ordered)-1]; math.IsInf(meets, 1) || meets <= last {
		return 1
	}
	const most = 30
	step := (len(ordered) + most - 1) / most
	var squares []float64 // σ²
	for i := len(ordered) - 1; i >= 0; i -= step {
		squares = append(squares, 1/((meets-ordered[i])*(meets-ordered[i])))
	}
	return signVariance(squares) / pairVariance(len(squares))
}

// signVariance sums the variance of S over pairs of normal values with unequal variances.
func signVariance(squares []float64) float64 {
	n := len(squares)
	sum := float64(n*(n-1)) / 2
	for i, own := range squares {
		for j := range squares {
			for k := range j {
				if j == i || k == i {
					continue
				}
				covariance := 2 / math.Pi * portable.Asin(own/math.Sqrt((own+squares[j])*(own+squares[k])))
				if (j < i) != (k < i) {
					covariance = -covariance
				}
				sum += float64(2 * covariance)
			}
		}
	}
	return sum
}

// pairTimes lists the times at which lines through two values of different times meet the limit,
// in order.
func (l Limit) pairTimes(times, values []float64) []float64 {
	met := make([]float64, 0, len(times)*(len(times)-1)/2)
	for i, from := range times {
		for j := i + 1; j < len(times); j++ {
			if times[j] != from {
				met = append(met, l.meets(from, values[i], (values[j]-values[i])/(times[j]-from)))
			}
		}
	}
	slices.Sort(met)
	return met
}

// meets is the time at which a line through a value with a slope comes to the limit.
func (l Limit) meets(time, value, slope float64) float64 {
	if slope == 0 || (slope < 0) != l.Lower {
		return math.Inf(1)
	}
	return time + (l.Value-value)/slope
}
