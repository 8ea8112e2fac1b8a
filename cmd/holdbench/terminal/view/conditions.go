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
	shown, more := missing(terms)
	if shown == nil {
		return x
	}
	x = a.Text(x, y, page.Faint, more)
	return drawValues(a, x, y, shown, role) + 1
}

// missing is the term that is shown of a condition, nil if it has none, and how many of several are met.
func missing(terms []sequence.Term) (shown *sequence.Term, more string) {
	if len(terms) == 0 {
		return nil, ""
	}
	shown = &terms[0]
	for i := range terms {
		if !terms[i].Met && terms[i].Group == "" {
			shown = &terms[i]
			break
		}
	}
	if met, all := countMet(terms); all > 1 {
		more = strconv.Itoa(met) + "/" + strconv.Itoa(all) + " "
	}
	return shown, more
}

// missingWidth is the room of the term that is shown of a condition, with the name of its signal.
func missingWidth(terms []sequence.Term) int {
	shown, more := missing(terms)
	switch {
	case shown == nil:
		return 0
	case shown.Op == "":
		return page.Width(more + shown.Text)
	}
	return page.Width(more + nameOf(shown) + " " + comparison(shown))
}

// nameOf is the left side of a comparison as it is written.
func nameOf(t *sequence.Term) string {
	name, _, _ := strings.Cut(t.Text, " "+t.Op+" ")
	return name
}

// leastName is how much of a name is kept where there is little room.
const leastName = 9

// drawValues draws a term with its live value beside the limit. Where there is little room the value is shortened to
// four digits first, then the unit is left out, then the name is cut.
func drawValues(a page.Area, x, y int, t *sequence.Term, role page.Role) int {
	if t.Op == "" {
		return a.Text(x, y, page.Plain, page.Cut(t.Text, a.W()-x))
	}
	name := nameOf(t)
	least, values := min(page.Width(name), leastName), ""
	for _, values = range []string{comparison(t), comparison(rounded(t)), withoutUnits(rounded(t))} {
		if a.W()-x-page.Width(values)-1 >= page.Width(name) {
			break
		}
	}
	if room := a.W() - x - page.Width(values) - 1; name != t.Text && room >= least {
		x = a.Text(x, y, page.Plain, page.Cut(name, room)) + 1
	}
	return a.Text(x, y, role, page.Cut(values, a.W()-x))
}

// rounded is a term with its values in four digits.
func rounded(t *sequence.Term) *sequence.Term {
	short := *t
	short.Left, short.Right = fourDigits(t.Left), fourDigits(t.Right)
	return &short
}

// fourDigits shortens a number in front of a unit; all else is as it was.
func fourDigits(text string) string {
	number, unit, _ := strings.Cut(text, " ")
	x, err := strconv.ParseFloat(number, 64)
	if err != nil {
		return text
	}
	return strings.TrimSpace(strconv.FormatFloat(x, 'g', 4, 64) + " " + unit)
}

// withoutUnits writes both sides of a comparison as numbers alone.
func withoutUnits(t *sequence.Term) string {
	left, _, _ := strings.Cut(t.Left, " ")
	right, _, _ := strings.Cut(t.Right, " ")
	if _, err := strconv.ParseFloat(left, 64); err != nil {
		return comparison(t)
	}
	return left + " " + t.Op + " " + right
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
		name := nameOf(t)
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
