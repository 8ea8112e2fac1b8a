package problem

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Text is [fmt.Sprintf] for messages to people. Of numbers only %g is changed, without a width and a plus: it writes them
// as [Number] does, and with a precision it keeps all digits before the point up to a million. Durations are written as
// [Time] does, from 1000 hours on in whole hours.
func Text(format string, values ...any) string { return fmt.Sprintf(format, forPeople(values)...) }

// Errorf is [fmt.Errorf] with numbers and times as in [Text].
func Errorf(format string, values ...any) error { return fmt.Errorf(format, forPeople(values)...) }

func forPeople(values []any) []any {
	shown := slices.Clone(values)
	for i, v := range values {
		switch x := v.(type) {
		case float64:
			shown[i] = figure(x)
		case time.Duration:
			shown[i] = period(x)
		}
	}
	return shown
}

// Number writes all digits of a number as people do: 100,000 and 0.00001 in place of 100000 and 1e-05. Of a very large
// or small one the power of ten is easier to read.
func Number(x float64) string {
	const least, large, most, short = 1e-6, 1e12, 1e15, 5
	size := math.Abs(x)
	power := strings.NewReplacer("e+0", "e", "e+", "e", "e-0", "e-").Replace(strconv.FormatFloat(x, 'g', -1, 64))
	if size != 0 && size < least || !(size < most) || size >= large && len(power) <= short {
		return power
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

// Time writes 8h in place of 8h0m0s.
func Time(d time.Duration) string {
	text := d.String()
	if strings.HasSuffix(text, "m0s") {
		text = strings.TrimSuffix(text, "0s")
	}
	if strings.HasSuffix(text, "h0m") {
		text = strings.TrimSuffix(text, "0m")
	}
	return text
}

// figure is a number of [Text].
type figure float64

// Format writes %g for people, and all other verbs as fmt does.
func (x figure) Format(s fmt.State, verb rune) {
	_, wide := s.Width()
	if verb != 'g' || wide || s.Flag('+') {
		_, _ = fmt.Fprintf(s, fmt.FormatString(s, verb), float64(x))
		return
	}
	v := float64(x)
	if digits, rounded := s.Precision(); rounded {
		v = roundTo(v, digits)
	}
	_, _ = s.Write([]byte(Number(v)))
}

// roundTo keeps so many significant digits, and all digits before the point up to a million.
func roundTo(x float64, digits int) float64 {
	const million = 1e6
	text := strconv.FormatFloat(x, 'g', digits, 64)
	if size := math.Abs(x); size >= math.Pow10(digits) && size < million {
		text = strconv.FormatFloat(x, 'f', 0, 64)
	}
	rounded, err := strconv.ParseFloat(text, 64)
	if err != nil { // beyond all numbers
		return x
	}
	return rounded
}

// period is a duration of [Text].
type period time.Duration

// String is [Time]. Of a very long time the whole hours count, rounded down so that what is read is permitted where it
// is a bound.
func (d period) String() string {
	const long = period(1000 * time.Hour)
	if d >= long {
		return inThousands(strconv.FormatInt(int64(d/period(time.Hour)), 10)) + " h"
	}
	return Time(time.Duration(d))
}
