package statistics

import (
	"fmt"

	"holdbench/plant/portable"
)

// Change is the place in a series where its level most likely changed.
type Change struct {
	After  int // values before the change
	U      int // positive: the level fell
	PValue float64
	Shift  float64 // median after less median before
}

// Pettitt looks for one change of the level of values in the order of time, of any distribution.
//
//	U_k = Σ_{i≤k} Σ_{j>k} sign(y_i − y_j),  K = max |U_k|,  p ≈ 2 exp(−6K²/(n³+n²))
//
// The change is after the k where |U_k| is largest, the first of equal ones. The probability is
// good to 0.01 where it is below 0.5; at most 1 is given. A steady trend is found as a change too.
// Pettitt, A non-parametric approach to the change-point problem, J. Royal Statistical Society C
// 28, 1979, pp. 126–135 (from memory).
func Pettitt(values []float64) (Change, error) {
	n := len(values)
	if n < 2 {
		return Change{}, fmt.Errorf("%d values, want 2 or more", n)
	}
	for i, value := range values {
		if !finite(value) {
			return Change{}, fmt.Errorf("value %d is %g, want a finite one", i+1, value)
		}
	}
	change := Change{After: 1}
	u := 0
	for k := 1; k < n; k++ {
		for _, other := range values { // the value moves from one side to the other
			u += sign(values[k-1] - other)
		}
		if k == 1 || absInt(u) > absInt(change.U) {
			change.After, change.U = k, u
		}
	}
	size := float64(n)
	change.PValue = min(1, 2*portable.Exp(-6*float64(change.U)*float64(change.U)/(float64(size*size*size)+float64(size*size))))
	change.Shift = Median(values[change.After:]) - Median(values[:change.After])
	return change, nil
}

func absInt(value int) int { return max(value, -value) }
