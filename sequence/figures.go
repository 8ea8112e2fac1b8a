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
	mostFigures = 10   // numbers that agree in so many differ by rounding only
	noneBelow   = 1e-4 // share of the other side below which a value counts as 0: beyond the figures that are shown
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

// sides writes two numbers with about four figures, or as many more as it takes
// to distinguish them.
func sides(l, r float64, unit Unit) (left, right string) {
	l, r = withoutNoise(l, r), withoutNoise(r, l)
	for digits := fewFigures; digits <= mostFigures; digits++ {
		left, right = figures(l, digits), figures(r, digits)
		if left != right || !(l < r || l > r) {
			break
		}
	}
	return withUnit(left, unit), withUnit(right, unit)
}

// withoutNoise is v, or 0 where v is negligible beside the other value.
func withoutNoise(v, other float64) float64 {
	if math.Abs(v) < noneBelow*math.Abs(other) && !math.IsInf(other, 0) {
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
