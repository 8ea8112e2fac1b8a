package sequence

import (
	"math"
	"strconv"
	"strings"

	"holdbench/plant/portable"
)

// Significant digits of a value in a message.
const (
	fewFigures  = 4
	mostFigures = 10 // numbers that agree in so many differ by rounding only
)

// values writes both sides of a comparison for display: numbers with their unit,
// true or false, or the bare word.
func (t *term) values(in *Inputs) (left, right string) {
	switch {
	case t.left.number != nil:
		return sides(t.left.number(in), t.right.number(in), t.unit)
	case t.left.boolean != nil:
		return strconv.FormatBool(t.left.boolean(in)), strconv.FormatBool(t.right.boolean(in))
	}
	return quotedIfEmpty(t.left.word(in)), quotedIfEmpty(t.right.word(in))
}

func quotedIfEmpty(word string) string {
	if word == "" {
		return `""`
	}
	return word
}

// Below what a value counts as 0.
const (
	negligible      = 1e-3 // share of the limit, below which a live value is shown as 0
	roundingOfLimit = 1e-9 // share of the live value: what is left of a difference of equal numbers
	rounding        = 1e-6 // the same of a value by itself, in its unit
)

// sides writes a live value and its limit with about four figures, or as many more as it takes to distinguish them. What
// is negligible beside the limit is 0; a limit that is small beside the value stays.
func sides(live, limit float64, unit Unit) (left, right string) {
	l, r := withoutNoise(live, limit, negligible), withoutNoise(limit, live, roundingOfLimit)
	for digits := fewFigures; digits <= mostFigures; digits++ {
		left, right = figures(l, digits), figures(r, digits)
		if left != right || !(l < r || l > r) {
			break
		}
	}
	return withUnit(left, unit), withUnit(right, unit)
}

// withoutNoise is v, or 0 where it is below 1 and below a share of the other value.
func withoutNoise(v, other, share float64) float64 {
	if math.Abs(v) < min(1, share*math.Abs(other)) && !math.IsInf(other, 0) {
		return 0
	}
	return v
}

// figures writes a number with that many significant digits and without an
// exponent, unless it is below a millionth or at 1e15 and above. Whole digits
// are never rounded away.
func figures(v float64, digits int) string {
	size := math.Abs(v)
	switch {
	case math.IsNaN(v):
		return "no number"
	case math.IsInf(v, 1):
		return "infinite"
	case math.IsInf(v, -1):
		return "-infinite"
	case v == 0:
		return "0"
	case size < 1e-6 || size >= 1e15:
		return strconv.FormatFloat(v, 'g', digits, 64)
	}
	places := max(digits-1-int(math.Floor(portable.Log10(size))), 0)
	text := strconv.FormatFloat(v, 'f', places, 64)
	if places > 0 {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}

func withUnit(text string, unit Unit) string {
	if name := unit.String(); name != "" {
		return text + " " + name
	}
	return text
}
