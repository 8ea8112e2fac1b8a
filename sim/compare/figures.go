package compare

import (
	"math"
	"strconv"
	"strings"
)

// The digits of figures: four that count, of a difference that counts two, and never more than six decimals.
const (
	figureDigits     = 4
	differenceDigits = 2
	mostDecimals     = 6
)

// Figures writes two numbers and B − A with as many decimals as the larger number needs, and with more where they
// differ and the difference would not be seen. B − A is that of the two figures as they are written. ok is false if
// one of the texts is no number.
func Figures(a, b string, differs bool) (figureA, figureB, apart string, ok bool) {
	x, errA := strconv.ParseFloat(a, 64)
	y, errB := strconv.ParseFloat(b, 64)
	if errA != nil || errB != nil {
		return a, b, "", false
	}
	decimals := figureDigits - 1 - decade(max(math.Abs(x), math.Abs(y)))
	if differs && x != y {
		decimals = max(decimals, differenceDigits-1-decade(y-x))
	}
	decimals = max(0, min(decimals, mostDecimals))
	round := func(v float64) float64 {
		rounded, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'f', decimals, 64), 64) // of a number that was just written
		return rounded
	}
	apart = short(round(y)-round(x), decimals)
	if apart != "0" && apart[0] != '-' {
		apart = "+" + apart
	}
	return short(x, decimals), short(y, decimals), apart, true
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
