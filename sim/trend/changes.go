package trend

import (
	"math"

	"holdbench/sim/statistics"
)

// ChangeLevel is the p value of Pettitt's test up to which a change of level counts.
const ChangeLevel = 0.01

// changes lists after how many values the level of a series changed, in order. Pettitt's test finds a steady
// trend as a change too, so that a change counts only where two levels describe the values better than one
// line: of n values with the absolute deviations A from the medians of both parts and B from the line
//
//	2 n ln(B/A) > ln n
//
// Schwarz's criterion for one more parameter, the place of the change, and errors of Laplace's distribution
// (Schwarz, Estimating the dimension of a model, Annals of Statistics 6, 1978; its use here is our choice).
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

// twoLevels is whether a change after so many values describes them better than a line.
func twoLevels(times, values []float64, after int) bool {
	line, err := statistics.TheilSen(times, values, SlopeConfidence)
	if err != nil {
		return false
	}
	var levels, sloped float64
	for _, part := range [][]float64{values[:after], values[after:]} {
		level := statistics.Median(part)
		for _, value := range part {
			levels += math.Abs(value - level)
		}
	}
	for i, value := range values {
		sloped += math.Abs(value - line.At(times[i]))
	}
	n := float64(len(values))
	return 2*n*math.Log(sloped/levels) > math.Log(n)
}
