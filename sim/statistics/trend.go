package statistics

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"holdbench/plant/portable"
)

// Line is a straight line through values over time that single wild values hardly move.
type Line struct {
	Slope     float64
	Intercept float64  // at time 0
	Interval  Interval // of the slope
}

// At is the value of the line at a time.
func (l Line) At(time float64) float64 { return l.Intercept + float64(l.Slope*time) }

// TheilSen draws the line of Theil and Sen.
//
//	slope = median of (y_j − y_i)/(t_j − t_i) over all pairs with t_i ≠ t_j
//	intercept = median(y) − slope · median(t)
//
// Of the N slopes in order, counted from 1, the interval takes those at (N − z √var)/2 and
// (N + z √var)/2 + 1, rounded, with the variance of Mann and Kendall's S and z of the confidence:
// it holds for values that are independent of each other. Three values at three times are the
// least.
// Sen, J. Am. Stat. Assoc. 63, 1968, pp. 1379–1389; Gilbert, Statistical Methods for
// Environmental Pollution Monitoring, 1987, section 16.5; the intercept is Conover's, Practical
// Nonparametric Statistics (from memory). It panics unless 0 < confidence < 1.
func TheilSen(times, values []float64, confidence float64) (Line, error) {
	if err := checkSeries(times, values, 3); err != nil {
		return Line{}, err
	}
	slopes := pairSlopes(times, values)
	if len(slopes) < 3 {
		return Line{}, errors.New("the values are of fewer than three times: they have no trend")
	}
	line := Line{Slope: middle(slopes)}
	line.Intercept = Median(values) - float64(line.Slope*Median(times))
	line.Interval = senInterval(slopes, kendallVariance(times, values), confidence)
	return line, nil
}

// senInterval takes two of the values of all pairs, in order: see TheilSen.
func senInterval(ordered []float64, variance, confidence float64) Interval {
	n := float64(len(ordered))
	reach := float64(quantile(confidence) * math.Sqrt(variance))
	low := max(math.RoundToEven((n-reach)/2), 1) // counted from 1
	high := min(math.RoundToEven((n+reach)/2)+1, n)
	return Interval{ordered[int(low)-1], ordered[int(high)-1]}
}

// pairSlopes lists the slopes between all values of different times, in order.
func pairSlopes(times, values []float64) []float64 {
	slopes := make([]float64, 0, len(times)*(len(times)-1)/2)
	for i, from := range times {
		for j := i + 1; j < len(times); j++ {
			if times[j] != from {
				slopes = append(slopes, (values[j]-values[i])/(times[j]-from))
			}
		}
	}
	slices.Sort(slopes)
	return slopes
}

// Median is the median of values, the mean of the middle two of an even number; there must be one.
func Median(values []float64) float64 {
	return middle(slices.Sorted(slices.Values(values)))
}

// middle is the median of values in order.
func middle(ordered []float64) float64 {
	n := len(ordered)
	if low, high := ordered[(n-1)/2], ordered[n/2]; low != high {
		return float64(low/2) + float64(high/2)
	}
	return ordered[n/2]
}

// Trend is the test of Mann and Kendall whether values rise or fall with time.
type Trend struct {
	S        int     // pairs that rise less pairs that fall
	Variance float64 // of S where there is no trend
	Z        float64 // positive: rising
	PValue   float64 // of both sides
}

// MannKendall tests for a trend of any shape that keeps its direction.
//
//	S = Σ sign(y_j − y_i) over pairs with t_j > t_i
//	var S = [n(n−1)(2n+5) − Σ u(u−1)(2u+5)]/18 over groups of u equal values, and of equal times
//	z = (S − sign S)/√var S
//
// It holds for values that are independent of each other, ten or more of them.
// Mann, Econometrica 13, 1945; Kendall, Rank Correlation Methods, 4th ed. 1975; Gilbert,
// Statistical Methods for Environmental Pollution Monitoring, 1987, section 16.4 (from memory).
func MannKendall(times, values []float64) (Trend, error) {
	if err := checkSeries(times, values, 3); err != nil {
		return Trend{}, err
	}
	trend := Trend{Variance: kendallVariance(times, values)}
	for i := range values {
		for j := i + 1; j < len(values); j++ {
			trend.S += sign(times[j]-times[i]) * sign(values[j]-values[i])
		}
	}
	if trend.S != 0 {
		trend.Z = float64(trend.S-sign(float64(trend.S))) / math.Sqrt(trend.Variance)
	}
	trend.PValue = 2 * portable.NormalCDF(-math.Abs(trend.Z))
	return trend, nil
}

func kendallVariance(times, values []float64) float64 {
	variance := pairVariance(len(values))
	for _, series := range [][]float64{times, values} {
		for _, equal := range tieSizes(series) {
			variance -= pairVariance(equal)
		}
	}
	return max(variance, 0)
}

func pairVariance(n int) float64 { return float64(n) * float64(n-1) * float64(2*n+5) / 18 }

// tieSizes counts the members of each group of equal values.
func tieSizes(series []float64) []int {
	ordered := slices.Sorted(slices.Values(series))
	var sizes []int
	for i, value := range ordered {
		if i > 0 && value == ordered[i-1] {
			sizes[len(sizes)-1]++
		} else {
			sizes = append(sizes, 1)
		}
	}
	return sizes
}

func sign(value float64) int {
	switch {
	case value > 0:
		return 1
	case value < 0:
		return -1
	}
	return 0
}

func checkSeries(times, values []float64, least int) error {
	if len(times) != len(values) {
		return fmt.Errorf("%d times for %d values", len(times), len(values))
	}
	if len(values) < least {
		return fmt.Errorf("%d values, want %d or more", len(values), least)
	}
	for i := range values {
		if !finite(times[i]) || !finite(values[i]) {
			return fmt.Errorf("value %d is %g at the time %g, want finite ones", i+1, values[i], times[i])
		}
	}
	return nil
}

func finite(value float64) bool { return !math.IsNaN(value) && !math.IsInf(value, 0) }
