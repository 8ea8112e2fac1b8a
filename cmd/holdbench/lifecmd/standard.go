package lifecmd

import (
	"fmt"
	"math"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/life"
)

// standard compares the rates with those of a standard.
func (v *lifePage) standard() {
	v.Section("for information: rates and EN ISO 13849-1")
	s, hoursSimulated := &v.sum, v.sum.Span.Hours()
	v.pairs(append([][2]string{
		{"demands", page.Figure(v.plan.Demands(s)/hoursSimulated) + " per calendar hour: " + v.demandWords()},
		{"tests", page.Figure(float64(s.Tests)/hoursSimulated) + " per calendar hour"},
		{"tests per demand", v.ratio()},
		{"test on demand", "takes the place of that ratio: a test on each demand, before the hazard, such as on a request for access before the guard is unlocked"},
		{"test torque", fmt.Sprintf("%s times the load torque, a proof for %s. The information sheet of the German accident insurers (DGUV) on gravity-loaded axes has 1.3 times and a test each shift, here %s (from memory)",
			page.Figure(v.study.Case.Rig.Test.Factor), life.Text(v.plan.Interval), life.Text(v.plan.Shift))},
	}, v.operationRows()...))
	v.Line()
	v.Prose("Formulas: EN ISO 13849-1:2015, annex C.4; rates of category 2 and the test on demand: 4.5.4, annex K; longest MTTFd: 4.5.2; from memory. Other editions differ in numbers and wording: read the one that applies.")
	v.Line()
	v.Prose("This is no claim of a category or a performance level: whether tests, demands and a B10d of this kind apply to a brake is for the machine's risk assessment and the maker to decide.")
}

// demandWords is what counts as a demand here, and what does not.
func (v *lifePage) demandWords() string {
	accesses := "no access by guard, see --accesses"
	if n := v.plan.AccessesPerShift; n > 0 {
		accesses = page.Figure(n) + " accesses by guard a shift"
	}
	return "emergency stops and power failures at speed, and " + accesses + ". A power failure at rest, and every time that the drive is switched off with a raised load, are demands as well and are not counted here"
}

// operationRows are the figures of annex C.
func (v *lifePage) operationRows() [][2]string {
	o := v.plan.Operations(v.b10d)
	rows := [][2]string{{"n_op", fmt.Sprintf("%.0f operations a year, if the brake operates once a cycle: d_op h_op 3600/t_cycle, with %s days a year, %s h a day, a cycle of %s",
		o.PerYear(), page.Figure(o.DaysPerYear), page.Figure(o.HoursPerDay), life.Text(o.Cycle))}}
	if v.b10d == 0 {
		return append(rows, [2]string{"T10d, MTTFd", "not calculated: needs the maker's B10d, see --b10d"})
	}
	return append(rows,
		[2]string{"T10d", fmt.Sprintf("%s years = B10d/n_op, with B10d = %s: time until 10 %% of the components have failed dangerously, and the longest permitted time of use", page.Figure(o.T10dYears()), page.Figure(v.b10d))},
		[2]string{"MTTFd", fmt.Sprintf("%s years = B10d/(0.1 n_op) of the component; outside category 4 a channel is credited with at most %d, so %s years",
			page.Figure(o.MTTFdYears()), life.MaxMTTFdYears, page.Figure(o.ChannelMTTFdYears()))})
}

// ratio compares the rate of tests with that of demands.
func (v *lifePage) ratio() string {
	ratio := v.plan.TestsPerDemand(&v.sum)
	if math.IsNaN(ratio) {
		return "no demand in these histories"
	}
	word := fmt.Sprintf("fewer than %d", life.ReducedTestsPerDemand)
	switch {
	case ratio >= life.RequiredTestsPerDemand:
		word = fmt.Sprintf("at least %d", life.RequiredTestsPerDemand)
	case ratio >= life.ReducedTestsPerDemand:
		word = fmt.Sprintf("at least %d and fewer than %d", life.ReducedTestsPerDemand, life.RequiredTestsPerDemand)
	}
	return fmt.Sprintf("%s, %s: category 2 requires %d; its annex K takes %d with a tenth more failures, of use for existing machines",
		page.Figure(ratio), word, life.RequiredTestsPerDemand, life.ReducedTestsPerDemand)
}
