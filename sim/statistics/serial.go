package statistics

import "math"

// Serial is how far neighbouring values depend on each other.
type Serial struct {
	Lag1  float64 // autocorrelation of neighbours
	Limit float64 // that independent values exceed with a chance of 0.05
}

// Dependent is whether neighbours are more alike than independent values.
func (s Serial) Dependent() bool { return s.Lag1 > s.Limit }

// SerialCorrelation is the autocorrelation of neighbouring residuals e, in their order.
//
//	r = Σ (e_i − ē)(e_{i+1} − ē)/Σ (e_i − ē)²,  limit = (−1 + 1.645 √(n−2))/(n−1)
//
// Equal values have none. Anderson, Distribution of the serial correlation coefficient, Annals of
// Mathematical Statistics 13, 1942 (from memory). Residuals of a line are a little less alike than their
// errors. It panics with fewer than three.
func SerialCorrelation(residuals []float64) Serial {
	n := float64(len(residuals))
	if n < 3 {
		panic("statistics: a correlation of neighbours needs three values")
	}
	mean := 0.0
	for _, e := range residuals {
		mean += e / n
	}
	var products, squares float64
	for i, e := range residuals {
		squares += float64((e - mean) * (e - mean))
		if i > 0 {
			products += float64((e - mean) * (residuals[i-1] - mean))
		}
	}
	s := Serial{Limit: (-1 + float64(quantile(0.9)*math.Sqrt(n-2))) / (n - 1)}
	if squares > 0 {
		s.Lag1 = products / squares
	}
	return s
}
