package st

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// timeUnit is a unit of a duration literal, in ns, and how many of it make the next larger one.
type timeUnit struct {
	name  string
	ns    float64
	limit float64
}

// timeUnits are in their order, the largest first.
func timeUnits() []timeUnit {
	return []timeUnit{
		{"d", 86_400e9, math.Inf(1)}, {"h", 3600e9, 24}, {"m", 60e9, 60}, {"s", 1e9, 60},
		{"ms", 1e6, 1000}, {"us", 1e3, 1000}, {"ns", 1, 1000},
	}
}

// parseDuration reads what follows T#: numbers with units, the largest first, of which the last
// may have decimals and the first may exceed its unit (IEC 61131-3, duration literals, from
// memory). The value is in ns; wrong is empty if it is one.
func parseDuration(text string) (ns int64, wrong string) {
	rest, negative := strings.CutPrefix(text, "-")
	rest = strings.ToLower(strings.TrimPrefix(rest, "+"))
	if rest == "" {
		return 0, "a number and a unit are missing, as in T#500ms"
	}
	var total float64
	last := -1
	for first := true; rest != ""; first = false {
		var part float64
		part, last, rest, wrong = durationPart(rest, last, first)
		if wrong != "" {
			return 0, wrong
		}
		total += part
	}
	if total >= math.MaxInt64 {
		return 0, "it is too long; the longest is about 292 years"
	}
	if negative {
		total = -total
	}
	return int64(math.RoundToEven(total)), ""
}

// durationPart reads one number with its unit.
func durationPart(text string, last int, first bool) (ns float64, unit int, rest, wrong string) {
	text = strings.TrimPrefix(text, "_")
	i := strings.IndexFunc(text, func(r rune) bool { return r >= 'a' && r <= 'z' })
	if i < 0 {
		return 0, 0, "", fmt.Sprintf("a unit follows %q: d, h, m, s, ms, us or ns", text)
	}
	digits := strings.ReplaceAll(text[:i], "_", "")
	value, err := strconv.ParseFloat(digits, 64)
	if err != nil {
		return 0, 0, "", fmt.Sprintf("a number stands before the unit %q", text[i:])
	}
	text = text[i:]
	end := strings.IndexFunc(text, func(r rune) bool { return r < 'a' || r > 'z' })
	if end < 0 {
		end = len(text)
	}
	name, rest := text[:end], text[end:]
	unit = unitIndex(name)
	switch {
	case unit < 0:
		return 0, 0, "", fmt.Sprintf("%q is no unit; %s", name, unitHint(name))
	case unit <= last:
		return 0, 0, "", name + " comes too late; the units go from the largest to the smallest"
	case rest != "" && strings.Contains(digits, "."):
		return 0, 0, "", "only the last number can have decimals"
	}
	u := timeUnits()[unit]
	if !first && value >= u.limit {
		return 0, 0, "", fmt.Sprintf("%s%s is %g or more; only the first number can be", digits, name, u.limit)
	}
	return value * u.ns, unit, rest, ""
}

// unitHint says which unit is meant.
func unitHint(name string) string {
	for _, u := range []struct{ unit, words string }{
		{"d", " day days "}, {"h", " hr hrs hour hours std "}, {"m", " min mins minute minutes "},
		{"s", " sec secs second seconds sek "}, {"ms", " msec msecs milliseconds "}, {"us", " usec microseconds "},
	} {
		if strings.Contains(u.words, " "+name+" ") {
			return "write " + u.unit
		}
	}
	return "the units are d, h, m, s, ms, us and ns"
}

func unitIndex(name string) int {
	for i, u := range timeUnits() {
		if u.name == name {
			return i
		}
	}
	return -1
}

// appendDuration writes a TIME in ns as a literal, such as T#1s500ms.
func appendDuration(to []byte, ns int64) []byte {
	to = append(to, "T#"...)
	left := uint64(ns)
	if ns < 0 {
		to = append(to, '-')
		left = -left
	}
	if left == 0 {
		return append(to, "0s"...)
	}
	for _, u := range [...]struct {
		name string
		ns   uint64
	}{{"d", 86_400e9}, {"h", 3600e9}, {"m", 60e9}, {"s", 1e9}, {"ms", 1e6}, {"us", 1e3}, {"ns", 1}} {
		if n := left / u.ns; n > 0 {
			to = append(strconv.AppendUint(to, n, 10), u.name...)
			left -= n * u.ns
		}
	}
	return to
}
