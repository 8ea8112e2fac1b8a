package plant

import (
	"math"
	"strconv"
	"strings"
	"time"
)

// limitText writes a bound of a range as people do: 100,000 and 0.00001 in place of 100000 and 1e-05. Of a very large or
// small one the power of ten is easier to read, where it is short.
func limitText(x float64) string {
	const least, most, short = 1e-6, 1e6, 5
	if size := math.Abs(x); size != 0 && (size < least || size >= most) {
		text := strings.NewReplacer("e+0", "e", "e+", "e", "e-0", "e-").Replace(shortest(x))
		if len(text) <= short {
			return text
		}
	}
	whole, rest, _ := strings.Cut(strconv.FormatFloat(x, 'f', -1, 64), ".")
	if rest != "" {
		rest = "." + rest
	}
	return inThousands(whole) + rest
}

// inThousands parts the digits of a whole number: 27,777. Four digits stand together.
func inThousands(digits string) string {
	sign := ""
	if strings.HasPrefix(digits, "-") {
		sign, digits = "-", digits[1:]
	}
	const together, group = 4, 3
	if len(digits) <= together {
		return sign + digits
	}
	text := ""
	for len(digits) > group {
		text, digits = ","+digits[len(digits)-group:]+text, digits[:len(digits)-group]
	}
	return sign + digits + text
}

// limitTime writes a bound of a time. Of a very long one the whole hours count, rounded down so that what is read is
// permitted.
func limitTime(s float64) string {
	const long = 1000 * time.Hour
	if d := time.Duration(math.Round(s * 1e9)); d >= long {
		return inThousands(strconv.FormatInt(int64(d/time.Hour), 10)) + " h"
	}
	return shortSeconds(s)
}
