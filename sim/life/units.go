package life

import (
	"fmt"
	"strings"
	"time"

	"holdbench/plant/problem"
)

// Text writes a duration as it is given: 26w, 3d, 8h, 90m, 1.5s.
func Text(t time.Duration) string {
	switch {
	case t == 0:
		return "0s"
	case t%week == 0:
		return fmt.Sprintf("%dw", t/week)
	case t%day == 0:
		return fmt.Sprintf("%dd", t/day)
	}
	return problem.Time(t)
}

// ParseDuration reads what [Text] writes: a duration such as 8h or 1h30m, or days or weeks
// such as 3d, 1.5d and 26w.
func ParseDuration(text string) (time.Duration, error) {
	for unit, length := range map[string]time.Duration{"d": day, "w": week} {
		number, is := strings.CutSuffix(text, unit)
		if !is {
			continue
		}
		hours, err := time.ParseDuration(number + "h") // its rules for numbers
		if err != nil || strings.ContainsAny(number, "hmsuµn") {
			return 0, fmt.Errorf("%q is no duration", text)
		}
		many := hours.Hours() * length.Hours()
		if many > maxSpan.Hours()*2 || many < -maxSpan.Hours()*2 {
			return 0, fmt.Errorf("%q is too long", text)
		}
		return hours * (length / time.Hour), nil
	}
	return time.ParseDuration(text)
}
