package chart

import (
	"math"
	"strconv"

	"gonum.org/v1/plot"
)

// ticks are the multiples of 1, 2 or 5 times a power of ten in a range, at most so many unless that
// were fewer than two.
type ticks int

// Ticks makes them for an axis of a picture.
func (most ticks) Ticks(low, high float64) []plot.Tick {
	list := most.within(low, high)
	for len(list) < 2 {
		most++
		list = most.within(low, high)
	}
	return list
}

func (most ticks) within(low, high float64) []plot.Tick {
	step, power := most.step(high - low)
	var list []plot.Tick
	first, last := math.Ceil(low/step-1e-6), math.Floor(high/step+1e-6)
	for i := range int(last-first) + 1 {
		v := (first + float64(i)) * step
		list = append(list, plot.Tick{Value: min(max(v, low), high), Label: tickLabel(v, power)})
	}
	return list
}

// step is the least one that does not give more than most, and its power of ten.
func (most ticks) step(width float64) (step float64, power int) {
	least := width / float64(max(most-1, 1))
	power = int(math.Floor(math.Log10(least)))
	for {
		for _, m := range []float64{1, 2, 5} {
			if step = m * math.Pow10(power); step >= least*(1-1e-9) {
				return step, power
			}
		}
		power++
	}
}

// tickLabel has the decimals of the step.
func tickLabel(v float64, power int) string {
	if power > 5 || power < -5 || math.Abs(v) >= 1e7 {
		return strconv.FormatFloat(v, 'g', 6, 64)
	}
	text := strconv.FormatFloat(v, 'f', max(0, -power), 64)
	if v == 0 || zero(text) {
		return strconv.FormatFloat(0, 'f', max(0, -power), 64)
	}
	return text
}

// zero tells -0.00, which would only raise questions.
func zero(text string) bool {
	v, err := strconv.ParseFloat(text, 64)
	return err == nil && v == 0
}
