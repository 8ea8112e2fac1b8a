package statistics

import (
	"cmp"
	"slices"
)

// Holm adjusts the p values of several tests, so that the chance that any true hypothesis is rejected
// stays below the level that they are held against, however the tests depend on each other.
//
//	p'_(i) = max_{j≤i} min(1, (m − j + 1) p_(j)),  p_(1) ≤ … ≤ p_(m)
//
// The result is in the order of the argument. Holm, A simple sequentially rejective multiple test
// procedure, Scandinavian J. Statistics 6, 1979, pp. 65–70.
func Holm(p []float64) []float64 {
	order := make([]int, len(p))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(p[a], p[b]) })
	adjusted := make([]float64, len(p))
	largest := 0.0
	for rank, i := range order {
		largest = max(largest, min(1, float64(len(p)-rank)*p[i]))
		adjusted[i] = largest
	}
	return adjusted
}
