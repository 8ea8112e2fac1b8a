package trend

import (
	"math"

	"holdbench/plant/portable"
	"holdbench/sim/statistics"
)

// What a change of level needs.
const (
	ChangeLevel = 0.01 // largest p value of Pettitt's test, which fewer than 16 tests do not reach
	ChangeOdds  = 50   // least Bayes factor of two levels against a line, and against one level
)

// changes lists after how many values the level of a series changed, in order. Pettitt's test finds a steady
// trend as a change too, so that a change counts only where two levels describe the values much better than a
// line, and than one level. Of n values with the absolute deviations A from the medians of both parts, B from
// the line and C from the median of all, the Bayes factors K of two levels are about
//
//	2 ln K = 2 n ln(B/A) − ln n,  2 ln K = 2 n ln(C/A) − 2 ln n
//
// Schwarz's criterion with errors of Laplace's distribution: two levels have their place as a parameter more than
// the line, and a level and a place more than one level (Schwarz, Estimating the dimension of a model, Annals of
// Statistics 6, 1978). Kass and Raftery, Bayes factors, J. Am. Stat. Assoc. 90, 1995, call 20 to 150 strong
// evidence; 50 is our choice: a test counts how many steady rises it cuts, and how many steps it finds.
// What is before and after a change is searched again.
func changes(times, values []float64) []int {
	if len(values) < LeastTests {
		return nil
	}
	c, err := statistics.Pettitt(values)
	if err != nil || c.PValue > ChangeLevel || c.Shift == 0 || !twoLevels(times, values, c.After) {
		return nil
	}
	found := append(changes(times[:c.After], values[:c.After]), c.After)
	for _, later := range changes(times[c.After:], values[c.After:]) {
		found = append(found, c.After+later)
	}
	return found
}

// twoLevels is whether a change after so many values describes them better than a line and than one level.
func twoLevels(times, values []float64, after int) bool {
	line, err := statistics.TheilSen(times, values, SlopeConfidence)
	if err != nil {
		return false
	}
	sloped := 0.0
	for i, value := range values {
		sloped += math.Abs(value - line.At(times[i]))
	}
	levels := deviations(values[:after]) + deviations(values[after:])
	n := float64(len(values))
	evidence := min(float64(2*n*portable.Log(sloped/levels))-portable.Log(n), float64(2*n*portable.Log(deviations(values)/levels))-float64(2*portable.Log(n)))
	return evidence > 2*portable.Log(ChangeOdds)
}

// deviations are the absolute deviations of values from their median, summed.
func deviations(values []float64) (sum float64) {
	level := statistics.Median(values)
	for _, value := range values {
		sum += math.Abs(value - level)
	}
	return sum
}
