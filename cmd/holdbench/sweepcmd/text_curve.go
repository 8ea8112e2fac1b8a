package sweepcmd

import (
	"fmt"
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/sweep"
)

// curveHeight is how many lines the curve takes.
const curveHeight = 16

func (v *sweepPage) curve() {
	s := v.sum
	v.Section("operating characteristic: probability of a proof")
	c := sweepChart(s)
	c.Title, c.Y = "", "" // the section has the same
	for _, line := range c.Text(v.Width, curveHeight, v.ASCII) {
		v.Line(line)
	}
	v.Line()
	v.apart()
	if s.Fit == nil {
		v.Prose("No curve is fitted: " + strings.TrimPrefix(s.NoFit, "no curve fits: ") + ". No quantiles are given; the counts stand for themselves.")
		return
	}
	v.fit()
}

// apart tells of the runs that are not in the curve.
func (v *sweepPage) apart() {
	a := &v.sum.Apart
	if a.Count == 0 {
		return
	}
	v.Prose(fmt.Sprintf("Not in the curve: %s of %d (%s, %s interval %s) ended for a cause other than the brake, which says nothing about its torque:",
		page.Count(a.Count, "run", "runs"), a.Of, percent(a.Rate.Rate), percent(v.sum.Confidence), page.Between(a.Low, a.High)))
	t := page.Table{}
	for _, c := range a.Causes {
		t.Add(page.PadLeft(strconv.Itoa(c.Runs), 7), causeName(c.Cause), "class "+c.Class)
	}
	v.Put(t.Text(v.Screen, ""))
	v.Line()
}

// fit prints the quantiles of the curve, its lapses and how well it goes through the counts.
func (v *sweepPage) fit() {
	f := v.sum.Fit
	interval := percent(v.sum.Confidence) + " interval"
	t := page.Table{Head: []string{"proven", "capacity / required", interval, ""}}
	for _, p := range f.Quantiles {
		t.Add(page.PadLeft(percent(p.Probability), 6), page.Figure(p.Ratio), page.Figure(p.Low)+" to "+page.Figure(p.High), placeWords(p))
	}
	v.Put(t.Text(v.Screen, ""))
	v.Line()
	t = page.Table{Head: []string{"whatever the torque", "rate", interval}}
	t.Add("proof", percent(f.Natural.Value), page.Between(f.Natural.Low, f.Natural.High))
	t.Add("no proof", percent(f.Lapse.Value), page.Between(f.Lapse.Low, f.Lapse.High))
	v.Put(t.Text(v.Screen, ""))
	v.Line()
	v.Prose(fitWords(f))
}

// placeWords is the meaning of a quantile of the curve.
func placeWords(p sweep.Quantile) string {
	switch p.Probability {
	case 0.01:
		return "below it, 1 in 100 or fewer get a proof"
	case 0.99:
		return "above it, 1 in 100 or fewer are refused"
	}
	return "half of the brakes get a proof"
}

// fitWords is what the curve is, and the goodness of fit.
func fitWords(f *sweep.Fit) string {
	return fmt.Sprintf("Curve: cumulative normal distribution, standard deviation %s (%s to %s), between the two rates that do not depend on the torque; the quantiles are those without them (Abbott's correction). Intervals by profile likelihood. It goes through the counts: deviance %s over %d groups, p-value %s.",
		page.Figure(f.Spread.Value), page.Figure(f.Spread.Low), page.Figure(f.Spread.High),
		page.Figure(f.Deviance), f.Groups, page.Figure(page.Round(f.PValue)))
}
