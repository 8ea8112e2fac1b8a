package evaluatecmd

import (
	"fmt"
	"strconv"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/evaluate"
)

// endingText is how a check ended, in words.
func endingText(c *evaluate.Check) string {
	switch {
	case c.Cause != "":
		return "failed: " + c.Cause
	case c.Outcome == evaluate.NotJudgeable:
		return "not judgeable"
	}
	return c.Outcome
}

// checks is the table of margins, a column for each check.
func (v *evaluationPage) checks() {
	list := v.shown()
	t := page.Table{Head: []string{""}}
	for _, c := range list {
		t.Head = append(t.Head, c.Direction)
	}
	row := func(name string, value func(c *evaluate.Check) string) {
		cells := []string{name}
		for _, c := range list {
			cells = append(cells, v.Plain(value(c)))
		}
		t.Rows = append(t.Rows, cells)
	}
	row("from the ask to the end, s", func(c *evaluate.Check) string { return fmt.Sprintf("%.3f to %.3f", c.FromS, c.ToS) })
	row("outcome", endingText)
	v.torqueRows(list, row)
	v.movementRows(row)
	row("requirement met for", func(c *evaluate.Check) string {
		return fmt.Sprintf("%s of %s s", seconds(c.Time.StoodS), seconds(c.Time.DwellS))
	})
	row("first met after the ask", func(c *evaluate.Check) string {
		if c.Time.ReachedS == nil {
			return "-"
		}
		return seconds(*c.Time.ReachedS) + " s"
	})
	row("left to the deadline", func(c *evaluate.Check) string {
		return fmt.Sprintf("%s of %s s", seconds(c.Time.LeftS), seconds(c.Time.DeadlineS))
	})
	v.Put(t.Text(v.Screen, ""))
	for _, c := range list {
		if c.Detail != "" {
			v.Prose(c.Direction + ": " + c.Detail + ".")
		}
	}
	v.others()
}

func (v *evaluationPage) torqueRows(list []*evaluate.Check, row func(string, func(*evaluate.Check) string)) {
	of := func(value func(m *evaluate.TorqueMargin) string) func(*evaluate.Check) string {
		return func(c *evaluate.Check) string {
			if c.Torque == nil {
				return "-"
			}
			return value(c.Torque)
		}
	}
	current := false
	for _, c := range list {
		current = current || c.Torque != nil && c.Torque.Quantity == "current"
	}
	if current {
		row("required current", of(func(m *evaluate.TorqueMargin) string { return number(m.Required, m.Unit) }))
		row("lowest in the dwell (1)", of(func(m *evaluate.TorqueMargin) string { return number(m.Lowest, m.Unit) }))
	}
	row("required torque", of(func(m *evaluate.TorqueMargin) string { return number(m.RequiredNM, "N·m") }))
	row("lowest in the dwell (1)", of(func(m *evaluate.TorqueMargin) string { return number(m.LowestNM, "N·m") }))
	row("margin", of(func(m *evaluate.TorqueMargin) string {
		return fmt.Sprintf("%+.3g N·m, %+.3g %%", m.MarginNM, m.MarginPct)
	}))
}

func (v *evaluationPage) movementRows(row func(string, func(*evaluate.Check) string)) {
	of := func(value func(m *evaluate.MovementMargin) string) func(*evaluate.Check) string {
		return func(c *evaluate.Check) string {
			if c.Movement == nil {
				return "-"
			}
			return value(c.Movement)
		}
	}
	row("largest movement", of(func(m *evaluate.MovementMargin) string { return number(m.LargestDeg, "deg") }))
	row("the same of the load", of(func(m *evaluate.MovementMargin) string { return number(m.LargestMM, "mm") }))
	row("of the window", of(func(m *evaluate.MovementMargin) string {
		return fmt.Sprintf("%s %% of %s deg", page.Figure(page.Round(m.WindowPct)), page.Figure(m.WindowDeg))
	}))
}

// shown are the newest check of each direction, in their order.
func (v *evaluationPage) shown() []*evaluate.Check {
	var list []*evaluate.Check
	for _, d := range v.result.Directions {
		if d.Check != nil {
			list = append(list, &v.result.Checks[*d.Check])
		}
	}
	return list
}

// others lists the checks that are not in the table, and what its figures mean.
func (v *evaluationPage) others() {
	v.Prose("(1) Of the longest time for which the requirement was met; where it never was, the most that was reached.")
	shown := v.shown()
	for i := range v.result.Checks {
		c := &v.result.Checks[i]
		if isAmong(c, shown) {
			continue
		}
		v.Prose(fmt.Sprintf("Before: %s from %s to %s, %s.", c.Direction, page.Seconds(c.FromS), page.Seconds(c.ToS), endingText(c)))
	}
}

func isAmong(c *evaluate.Check, list []*evaluate.Check) bool {
	for _, other := range list {
		if c == other {
			return true
		}
	}
	return false
}

// thresholds is the table of what would have turned the checks.
func (v *evaluationPage) thresholds() {
	t := page.Table{Head: []string{"", "value", "of the rig", "passes", "beyond"}}
	for _, c := range v.shown() {
		for _, th := range c.Thresholds {
			t.Add(c.Direction, th.Of, v.Plain(number(th.Present, th.Unit)), v.Plain(passesText(&th)), beyondText(&th))
		}
	}
	if len(t.Rows) == 0 {
		v.Prose("No check has a verdict that another value could turn.")
		return
	}
	v.Put(t.Text(v.Screen, ""))
}

func passesText(t *evaluate.Threshold) string {
	if t.Turns == nil {
		return "with no value"
	}
	value := number(*t.Turns, t.Unit)
	switch {
	case t.Passes == evaluate.PassesFrom:
		return "from " + value
	case t.Open:
		return "to " + value + " at least"
	}
	return "to " + value
}

// beyondText is what comes of the check on the other side of a threshold.
func beyondText(t *evaluate.Threshold) string {
	switch t.Beyond {
	case evaluate.Dropped:
		return "not known, the ask ended"
	case evaluate.Unfinished:
		return "not known, the recording ended"
	case evaluate.NotJudgeable:
		return "not known, there is a gap"
	}
	return t.Beyond
}

// number is a figure with its unit.
func number(x float64, unit string) string { return page.Figure(x) + " " + unit }

// seconds is a time without more decimals than a millisecond has.
func seconds(s float64) string {
	return strconv.FormatFloat(float64(int64(s*1000+0.5))/1000, 'g', -1, 64)
}
