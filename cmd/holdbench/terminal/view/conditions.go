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

// timing is the time left of a transition, and its repeats.
func timing(c *sequence.Condition) string {
	text := ""
	switch {
	case c.TimesLeft == 0:
		return " used up"
	case c.TimesLeft > 0:
		text = " ×" + strconv.Itoa(c.TimesLeft)
	}
	if c.For > 0 {
		text += " for " + countdown(c.ForLeft, c.For)
	}
	if c.After > 0 {
		text += " in " + countdown(c.AfterLeft, c.After)
	}
	return text
}

// countdown is the rest of a time; one that does not run takes less room.
func countdown(left, whole time.Duration) string {
	if left == whole {
		return strconv.FormatFloat(whole.Seconds(), 'g', 4, 64) + " s"
	}
	return fixed(left.Seconds(), 6, 3) + " s"
}

// drawMissing draws one term of a condition: the first that is not met, else the first.
func drawMissing(a page.Area, x, y int, terms []sequence.Term, role page.Role) int {
	if len(terms) == 0 {
		return x
	}
	shown := &terms[0]
	for i := range terms {
		if !terms[i].Met && terms[i].Group == "" {
			shown = &terms[i]
			break
		}
	}
	more := ""
	if met, all := countMet(terms); all > 1 {
		more = strconv.Itoa(met) + "/" + strconv.Itoa(all) + " "
	}
	x = a.Text(x, y, page.Faint, more)
	return drawValues(a, x, y, shown, role) + 1
}

// drawValues draws a term with its live value beside the limit; the name is shortened first.
func drawValues(a page.Area, x, y int, t *sequence.Term, role page.Role) int {
	if t.Op == "" {
		return a.Text(x, y, page.Plain, page.Cut(t.Text, a.W()-x))
	}
	values := comparison(t)
	name, _, _ := strings.Cut(t.Text, " "+t.Op+" ")
	room := a.W() - x - page.Width(values) - 1
	if name != t.Text && room >= 6 {
		x = a.Text(x, y, page.Plain, page.Cut(name, room)) + 1
	}
	return a.Text(x, y, role, page.Cut(values, a.W()-x))
}

// comparison writes both sides, the unit once if they share it.
func comparison(t *sequence.Term) string {
	value, unit, _ := strings.Cut(t.Left, " ")
	if unit != "" && strings.HasSuffix(t.Right, " "+unit) {
		return value + " " + t.Op + " " + t.Right
	}
	return t.Left + " " + t.Op + " " + t.Right
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
	case t.Op == "":
		a.Text(x, y, page.Plain, page.Cut(t.Text, a.W()-x))
	default:
		values := comparison(t)
		name, _, _ := strings.Cut(t.Text, " "+t.Op+" ")
		at := max(a.W()-page.Width(values), x)
		a.Text(x, y, page.Plain, page.Cut(name, at-x-1))
		a.Text(at, y, role, page.Cut(values, a.W()-at))
	}
}

// groupWord is how the terms below are combined.
func groupWord(join string) string {
	if join == "or" {
		return "any of"
	}
	return "all of"
}
