package sim

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"holdbench/plant/portable"
)

// A text of a lesson has figures of the run in braces: {capacity_nm}, {abs(torque_nm):2}. Behind the
// colon stands the number of significant digits. {{ and }} are braces.

// usualDigits are the significant digits of a figure that names no number of them.
const usualDigits = 3

// mostDigits is the largest number of digits that a figure can name.
const mostDigits = 9

// piece is a part of a text: words, and the figure behind them if there is one.
type piece struct {
	words  string
	figure formula
	digits int
}

// parseText reads a text with figures.
func parseText(text string, scope nameScope) ([]piece, error) {
	var list []piece
	var words strings.Builder
	for {
		i := strings.IndexAny(text, "{}")
		if i < 0 {
			words.WriteString(text)
			return append(list, piece{words: words.String()}), nil
		}
		words.WriteString(text[:i])
		brace := text[i]
		text = text[i+1:]
		if strings.HasPrefix(text, string(brace)) {
			words.WriteByte(brace)
			text = text[1:]
			continue
		}
		end := strings.IndexAny(text, "{}")
		if brace == '}' || end < 0 || text[end] == '{' {
			return nil, errors.New("a brace has no partner; a figure must be written {name}, a brace {{ or }}")
		}
		p, err := parseFigure(text[:end], scope)
		if err != nil {
			return nil, err
		}
		p.words = words.String()
		list, text = append(list, p), text[end+1:]
		words.Reset()
	}
}

// parseFigure reads what stands between the braces.
func parseFigure(text string, scope nameScope) (piece, error) {
	what, digits, given := strings.Cut(text, ":")
	p := piece{digits: usualDigits}
	if given {
		n, err := strconv.Atoi(strings.TrimSpace(digits))
		if err != nil || n < 1 || n > mostDigits {
			return p, fmt.Errorf("figure {%s} has %q digits; must be 1 to %d", text, digits, mostDigits)
		}
		p.digits = n
	}
	f, err := parseFormula(what, scope)
	if err != nil {
		return p, fmt.Errorf("figure {%s}: %w", text, err)
	}
	p.figure = f
	return p, nil
}

// fill writes a text with its figures. The text was checked: one that cannot be read stays as it is.
func fill(text string, scope nameScope, values func(string) float64) string {
	list, err := parseText(text, scope)
	if err != nil {
		return text
	}
	var b strings.Builder
	for i := range list {
		b.WriteString(list[i].words)
		if f := list[i].figure; f != nil {
			b.WriteString(FigureText(f(values), list[i].digits))
		}
	}
	return b.String()
}

// FigureText writes a number with that many significant digits, without an exponent and without zeros at
// its end. What is below a millionth is the rounding of floats, and 0.
func FigureText(x float64, digits int) string {
	const rounding = 1e-6
	switch size := math.Abs(x); {
	case math.IsNaN(x):
		return "no value"
	case math.IsInf(x, 0):
		return "infinite"
	case size < rounding:
		return "0"
	default:
		places := max(0, digits-1-int(math.Floor(portable.Log10(size))))
		text := strconv.FormatFloat(x, 'f', places, 64)
		if places > 0 {
			text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
		}
		return text
	}
}
