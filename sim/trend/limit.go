package trend

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Limit is the range in which a quantity must stay; an end that is infinite is none.
type Limit struct {
	Low, High float64
	From      string // where it comes from, in words
}

// FromFlag is where a limit of the command line comes from.
const FromFlag = "--limit"

// AtMost is an upper limit.
func AtMost(value float64, from string) *Limit { return &Limit{math.Inf(-1), value, from} }

// passed is whether a value is at the limit or past it.
func (l *Limit) passed(value float64) bool { return value >= l.High || value <= l.Low }

// ParseLimit reads QUANTITY=VALUE, an upper limit, or QUANTITY=LOW..HIGH, of which one end may be left out.
// The quantities are those with that name, with or without brake and direction.
func ParseLimit(text string) (quantities []string, l *Limit, err error) {
	name, value, ok := strings.Cut(text, "=")
	if !ok {
		return nil, nil, fmt.Errorf("%q has no value; must be QUANTITY=VALUE or QUANTITY=LOW..HIGH, such as closing_ms=60", text)
	}
	names := []string{}
	for _, q := range Quantities() {
		if !slices.Contains(names, q.Of) {
			names = append(names, q.Of)
		}
		if name == q.Name || name == q.Of {
			quantities = append(quantities, q.Name)
		}
	}
	if len(quantities) == 0 {
		return nil, nil, fmt.Errorf("%q is no quantity; must be one of %s, or the name of one direction or brake", name, strings.Join(names, ", "))
	}
	l = &Limit{Low: math.Inf(-1), High: math.Inf(1), From: FromFlag}
	low, high, ranged := strings.Cut(value, "..")
	if !ranged {
		low, high = "", value
	}
	for _, end := range []struct {
		text string
		to   *float64
	}{{low, &l.Low}, {high, &l.High}} {
		if end.text == "" {
			continue
		}
		if *end.to, err = strconv.ParseFloat(end.text, 64); err != nil || math.IsNaN(*end.to) || math.IsInf(*end.to, 0) {
			return nil, nil, fmt.Errorf("%q is no number; must be %s=VALUE or %s=LOW..HIGH", end.text, name, name)
		}
	}
	if l.Low >= l.High || math.IsInf(l.Low, 0) && math.IsInf(l.High, 0) {
		return nil, nil, fmt.Errorf("%q is no limit; must be VALUE or LOW..HIGH with the lower end first", value)
	}
	if strings.HasPrefix(quantities[0], "holding") || l.High > 0 {
		return quantities, l, nil
	}
	return nil, nil, fmt.Errorf("%q is at or below 0, which every test is past; must be above 0", value)
}
