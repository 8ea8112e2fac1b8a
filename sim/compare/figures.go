package compare

import (
	"math"
	"strconv"
	"strings"
)

// The digits of figures: four that count, and never more than six decimals.
const (
	figureDigits = 4
	mostDecimals = 6
)

// Figures writes two numbers and B − A. The numbers have as many decimals as four digits of the larger one take, and
// more only where they differ and the first digit of the difference would not be seen. B − A is that of the two figures
// as they are written, in four digits. ok is false if one of the texts is no number.
func Figures(a, b string, differs bool) (figureA, figureB, apart string, ok bool) {
	x, errA := strconv.ParseFloat(a, 64)
	y, errB := strconv.ParseFloat(b, 64)
	if errA != nil || errB != nil {
		return a, b, "", false
	}
	decimals := figureDecimals(max(math.Abs(x), math.Abs(y)))
	if differs && x != y {
		decimals = max(decimals, min(-decade(y-x), mostDecimals))
	}
	difference := rounded(y, decimals) - rounded(x, decimals)
	apart = short(difference, min(decimals, figureDecimals(difference)))
	if apart != "0" && apart[0] != '-' {
		apart = "+" + apart
	}
	return short(x, decimals), short(y, decimals), apart, true
}

// figureDecimals is how many decimals a number has in four digits.
func figureDecimals(x float64) int { return max(0, min(figureDigits-1-decade(x), mostDecimals)) }

func rounded(x float64, decimals int) float64 {
	y, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'f', decimals, 64), 64) // of a number that was just written
	return y
}

// decade is the power of ten of the first digit of a number, 0 for none.
func decade(x float64) int {
	_, exponent, _ := strings.Cut(strconv.FormatFloat(x, 'e', figureDigits-1, 64), "e")
	n, _ := strconv.Atoi(exponent) // none for what is no number
	return n
}

// short is a number without zeros at its end.
func short(x float64, decimals int) string {
	text := strconv.FormatFloat(x, 'f', decimals, 64)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	if text == "-0" {
		return "0"
	}
	return text
}
