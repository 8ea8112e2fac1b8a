package lifecmd

import (
	"fmt"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/life"
)

// standard compares the rates with those of a standard.
func (v *lifePage) standard() {
	v.Section("for information: rates and EN ISO 13849-1")
	s, hoursSimulated := &v.sum, v.sum.Span.Hours()
	rows := [][2]string{
		{"demands", page.Figure(float64(s.Stops)/hoursSimulated) + " per calendar hour: emergency stops at speed. A power failure, and every time that the drive is switched off with a raised load, are demands as well and are not counted here"},
		{"tests", page.Figure(float64(s.Tests)/hoursSimulated) + " per calendar hour"},
		{"tests per demand", v.ratio()},
	}
	o := v.plan.Operations(v.b10d)
	rows = append(rows, [2]string{"n_op", fmt.Sprintf("%.0f operations a year, if the brake operates once a cycle: d_op h_op 3600/t_cycle, with %s days a year, %s h a day, a cycle of %s",
		o.PerYear(), page.Figure(o.DaysPerYear), page.Figure(o.HoursPerDay), life.Text(o.Cycle))})
	if v.b10d == 0 {
		rows = append(rows, [2]string{"T10d, MTTFd", "not calculated: needs the maker's B10d, see --b10d"})
	} else {
		rows = append(rows,
			[2]string{"T10d", fmt.Sprintf("%s years = B10d/n_op, with B10d = %s: time until 10 %% of the components have failed dangerously, and the longest permitted time of use", page.Figure(o.T10dYears()), page.Figure(v.b10d))},
			[2]string{"MTTFd", page.Figure(o.MTTFdYears()) + " years = B10d/(0.1 n_op)"})
	}
	v.pairs(rows)
	v.Line()
	v.Prose("Formulas: EN ISO 13849-1:2015, annex C.4; rates of category 2: 4.5.4; from memory. Other editions differ in numbers and wording: read the one that applies. This is no claim of a category or a performance level: whether tests, demands and a B10d of this kind apply to a brake is for the machine's risk assessment and the maker to decide.")
}

func (v *lifePage) ratio() string {
	if v.sum.Stops == 0 {
		return "no demand in these histories"
	}
	ratio := v.sum.TestsPerDemand()
	word := "fewer than"
	if ratio >= life.RequiredTestsPerDemand {
		word = "at least"
	}
	return fmt.Sprintf("%s, %s the %d that category 2 requires", page.Figure(ratio), word, life.RequiredTestsPerDemand)
}
