package lifecmd

import (
	"fmt"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/life"
)

// standard puts the rates beside what a standard says of them.
func (v *lifePage) standard() {
	v.Section("for information: rates and EN ISO 13849-1")
	s, hoursLived := &v.sum, v.sum.Span.Hours()
	rows := [][2]string{
		{"demands", page.Figure(float64(s.Stops)/hoursLived) + " in an hour of the calendar: the emergency stops at speed. A loss of power, and each time that the drive is switched off with the load up, are demands as well; they are not counted here"},
		{"tests", page.Figure(float64(s.Tests)/hoursLived) + " in an hour of the calendar"},
		{"tests a demand", v.ratio()},
	}
	o := v.plan.Operations(v.b10d)
	rows = append(rows, [2]string{"n_op", fmt.Sprintf("%.0f operations a year, if the brake works once a cycle: d_op h_op 3600/t_cycle, with %s days a year, %s h a day, a cycle of %s",
		o.PerYear(), page.Figure(o.DaysPerYear), page.Figure(o.HoursPerDay), life.Text(o.Cycle))})
	if v.b10d == 0 {
		rows = append(rows, [2]string{"T10d, MTTFd", "not worked out: they want the maker's B10d, see --b10d"})
	} else {
		rows = append(rows,
			[2]string{"T10d", fmt.Sprintf("%s years = B10d/n_op, with B10d = %s: time until a tenth of such components has failed dangerously, and the longest that one may stay in use", page.Figure(o.T10dYears()), page.Figure(v.b10d))},
			[2]string{"MTTFd", page.Figure(o.MTTFdYears()) + " years = B10d/(0.1 n_op)"})
	}
	v.pairs(rows)
	v.Line()
	v.Prose("Formulas: EN ISO 13849-1:2015, annex C.4; rates of category 2: 4.5.4; from memory. Other editions number and word them in another way: read the one that applies. This is no claim of a category or a performance level: whether tests, demands and B10d of this kind count for a brake at all is for the machine's risk assessment and the maker.")
}

func (v *lifePage) ratio() string {
	if v.sum.Stops == 0 {
		return "no demand in these lives"
	}
	ratio := v.sum.TestsPerDemand()
	word := "fewer than"
	if ratio >= life.TestsPerDemandWanted {
		word = "no fewer than"
	}
	return fmt.Sprintf("%s, %s the %d that category 2 wants", page.Figure(ratio), word, life.TestsPerDemandWanted)
}
