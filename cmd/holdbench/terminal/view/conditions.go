package view

import (
	"strconv"
	"strings"
	"time"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/sequence"
)

// stateSign is the state of a transition: it fires now, only its time is missing, or not met.
func stateSign(c *sequence.Condition) (sign string, role page.Role) {
	switch {
	case !c.Met || c.TimesLeft == 0:
		return "✗", page.Faint // not met is not wrong
	case c.ForLeft > 0 || c.AfterLeft > 0:
		return "◷", page.Setpoint
	}
	return "✓", page.Good
}

func drawStateSign(a page.Area, x, y int, c *sequence.Condition) int {
	sign, role := stateSign(c)
	return a.Text(x, y, role, sign) + 1
}

func drawMark(a page.Area, x, y int, met bool) int {
	sign, role := mark(met)
	if !met { // not met is not wrong
		role = page.Faint
	}
	return a.Text(x, y, role, sign) + 1
}

// brevity is how short a time is written.
type brevity uint8

const (
	whole     brevity = iota
	fewDigits         // with hundredths
	timeAlone         // and without the repeats
)

// timing is the time left of a transition, and its repeats.
func timing(c *sequence.Condition, as brevity) string {
	text := ""
	switch {
	case c.TimesLeft == 0:
		return " not again"
	case c.TimesLeft > 0 && as != timeAlone:
		text = " ×" + strconv.Itoa(c.TimesLeft)
	}
	if c.For > 0 {
		text += " for " + as.countdown(c.ForLeft, c.For)
	}
	if c.After > 0 {
		text += " in " + as.countdown(c.AfterLeft, c.After)
	}
	return text
}

// countdown is the rest of a time; one that does not run takes less room.
func (as brevity) countdown(left, all time.Duration) string {
	switch {
	case left == all:
		return page.FourDigits(all.Seconds()) + " s"
	case as != whole:
		return strings.TrimLeft(fixed(left.Seconds(), 6, 2), " ") + " s"
	}
	return fixed(left.Seconds(), 6, 3) + " s"
}

// drawTerm draws one part of a condition on a row of its own, the values at the right.
func drawTerm(a page.Area, y int, t *sequence.Term, strong bool) {
	role := page.Plain
	if strong {
		role = page.Strong
	}
	x := drawMark(a, 2+2*min(t.Depth, 3), y, t.Met)
	switch {
	case t.Group != "":
		a.Text(x, y, page.Faint, groupWord(t.Group))
	default:
		text, _ := written(t, a.W()-x)
		a.Text(x, y, page.Plain, text.name)
		at := max(a.W()-page.Width(text.values), x)
		a.Text(at, y, role, page.Cut(text.values, a.W()-at))
	}
}

// groupWord is how the terms below are combined.
func groupWord(join string) string {
	if join == "or" {
		return "any of"
	}
	return "all of"
}
