package portable

import "math"

// Mean is that of a sample, in the order of its values.
func Mean(x []float64) float64 {
	sum := 0.
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

// MeanDeviation is the mean of a sample and its standard deviation, by n − 1.
func MeanDeviation(x []float64) (mean, deviation float64) {
	mean = Mean(x)
	squares := 0.
	for _, v := range x {
		squares += float64((v - mean) * (v - mean))
	}
	return mean, math.Sqrt(squares / float64(len(x)-1))
}

// Quantile interpolates the empirical distribution of a sorted sample linearly, from the smallest
// value at a share of 1/n to the largest at 1.
func Quantile(share float64, sorted []float64) float64 {
	place := float64(share * float64(len(sorted)))
	i := int(math.Ceil(place)) - 1
	if i <= 0 {
		return sorted[0]
	}
	below := float64(i+1) - place
	return float64(below*sorted[i-1]) + float64((1-below)*sorted[i])
}
