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

// checks are the tables of margins, a table for each brake and a column for each direction.
func (v *evaluationPage) checks() {
	for _, list := range v.byBrake() {
		v.checksOf(list)
	}
	v.Prose("(1) Passed: the least of the full dwell, behind the ramp of the press. Else the most that was reached, and no margin.")
	v.others()
}

func (v *evaluationPage) checksOf(list []*evaluate.Check) {
	t := page.Table{Head: []string{""}}
	for _, c := range list {
		t.Head = append(t.Head, v.name(c.Brake, c.Direction))
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
		return fmt.Sprintf("%s of %s s", seconds(c.Time.MetS), seconds(c.Time.DwellS))
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
			v.Prose(v.name(c.Brake, c.Direction) + ": " + c.Detail + ".")
		}
	}
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
		row("measured (1)", of(func(m *evaluate.TorqueMargin) string { return number(m.Lowest, m.Unit) }))
	}
	row("required torque", of(func(m *evaluate.TorqueMargin) string { return number(m.RequiredNM, "N·m") }))
	row("measured (1)", of(func(m *evaluate.TorqueMargin) string { return number(m.LowestNM, "N·m") }))
	row("margin of the press", of(func(m *evaluate.TorqueMargin) string {
		if m.MarginNM == nil {
			return "-"
		}
		return fmt.Sprintf("%+.3g N·m, %+.3g %%", *m.MarginNM, *m.MarginPct)
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

// name is a direction, of two brakes with its brake.
func (z *evaluated) name(brake, direction string) string {
	if !z.ready.Rig.Brake2.Exists() {
		return direction
	}
	return brake + " " + direction
}

// shown are the newest check of each brake and direction.
func (v *evaluationPage) shown() []*evaluate.Check {
	var list []*evaluate.Check
	for _, d := range v.result.Directions {
		if d.Check != nil {
			list = append(list, &v.result.Checks[*d.Check])
		}
	}
	return list
}

// byBrake are the same by brake.
func (v *evaluationPage) byBrake() [][]*evaluate.Check {
	var groups [][]*evaluate.Check
	for _, c := range v.shown() {
		if n := len(groups) - 1; n >= 0 && groups[n][0].Brake == c.Brake {
			groups[n] = append(groups[n], c)
			continue
		}
		groups = append(groups, []*evaluate.Check{c})
	}
	return groups
}

// others lists the checks that are not in the table.
func (v *evaluationPage) others() {
	shown := v.shown()
	for i := range v.result.Checks {
		c := &v.result.Checks[i]
		if isAmong(c, shown) {
			continue
		}
		v.Prose(fmt.Sprintf("Before: %s from %s to %s, %s.", v.name(c.Brake, c.Direction), page.Seconds(c.FromS), page.Seconds(c.ToS), endingText(c)))
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

// thresholds is the table of values at which the verdicts change.
func (v *evaluationPage) thresholds() {
	rows := 0
	for _, list := range v.byBrake() {
		t := page.Table{Head: []string{"", "value", "of the rig", "passes", "beyond"}}
		for _, c := range list {
			for _, th := range c.Thresholds {
				t.Add(c.Direction, th.Of, v.Plain(number(th.Present, th.Unit)), v.Plain(passesText(&th)), beyondText(&th))
			}
		}
		if len(t.Rows) == 0 {
			continue
		}
		rows += len(t.Rows)
		if v.ready.Rig.Brake2.Exists() {
			v.Line(v.Style.Strong.Render(list[0].Brake))
		}
		v.Put(t.Text(v.Screen, ""))
	}
	if rows == 0 {
		v.Prose("No check has a verdict that another value would change.")
	}
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
	case evaluate.AskEnded:
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
