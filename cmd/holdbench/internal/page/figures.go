package page

import (
	"fmt"
	"strconv"
	"strings"
)

// Between is an interval for people.
func Between(low, high float64) string { return fmt.Sprintf("%.3g to %.3g %%", 100*low, 100*high) }

// FitNumber writes x with as many decimals as the width has room for.
func FitNumber(x float64, width, decimals int, sign bool) string {
	format := "%.*f"
	if sign {
		format = "%+.*f"
	}
	for d := decimals; d >= 0; d-- {
		text := fmt.Sprintf(format, d, x)
		if zero(text) {
			text = fmt.Sprintf("%.*f", d, 0.0)
		}
		if len(text) <= width {
			return PadLeft(text, width)
		}
	}
	return PadLeft(fmt.Sprintf("%.0e", x), width)
}

// zero is whether a number is printed as zero, which then has no sign.
func zero(text string) bool { return strings.Trim(text, "+-0.") == "" }

// Figure is a number for prose: four digits that count, zeros at the end left out.
func Figure(x float64) string {
	text := fmt.Sprintf("%.4g", x)
	if strings.Contains(text, "e") && x > -1e9 && x < 1e9 && (x > 1e-4 || x < -1e-4) {
		return fmt.Sprintf("%.0f", x)
	}
	return text
}

// Seconds is a time of a run with its unit.
func Seconds(s float64) string { return fmt.Sprintf("%.3f s", s) }

// Count is a number of things in words.
func Count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// Round keeps three digits, which is all that a strip can show.
func Round(x float64) float64 {
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 3, 64), 64)
	if err != nil {
		return x
	}
	return rounded
}
