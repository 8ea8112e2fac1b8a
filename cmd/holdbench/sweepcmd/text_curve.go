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
	if len(f.Quantiles) > 0 {
		t := page.Table{Head: []string{"proven", "capacity / required", interval, ""}}
		for _, p := range f.Quantiles {
			t.Add(page.PadLeft(percent(p.Probability), 6), page.Figure(p.Ratio), page.Figure(p.Low)+" to "+page.Figure(p.High), placeWords(p))
		}
		v.Put(t.Text(v.Screen, ""))
		v.Line()
	}
	through := fmt.Sprintf("It goes through the counts: deviance %s over %d groups, p-value %s.",
		page.Figure(f.Deviance), f.Groups, page.Figure(page.Round(f.PValue)))
	if f.Normal == nil {
		v.Prose(shapelessWords(f) + " " + through)
		return
	}
	t := page.Table{Head: []string{"whatever the torque", "rate", interval}}
	t.Add("proof", percent(f.Normal.Natural.Value), page.Between(f.Normal.Natural.Low, f.Normal.Natural.High))
	t.Add("no proof", percent(f.Normal.Lapse.Value), page.Between(f.Normal.Lapse.Low, f.Normal.Lapse.High))
	v.Put(t.Text(v.Screen, ""))
	v.Line()
	v.Prose(normalWords(f.Normal) + " " + through)
}

// placeWords is the meaning of a quantile of the curve.
func placeWords(p sweep.Quantile) string {
	switch {
	case p.Probability < 0.5:
		return fmt.Sprintf("below it, 1 in %.0f or fewer get a proof", 1/p.Probability)
	case p.Probability > 0.5:
		return fmt.Sprintf("above it, 1 in %.0f or fewer are refused", 1/(1-p.Probability))
	}
	return "half of the brakes get a proof"
}

// normalWords is what a curve with a shape is.
func normalWords(n *sweep.Normal) string {
	return fmt.Sprintf("Curve: cumulative normal distribution, standard deviation %s (%s to %s), between the two rates that do not depend on the torque; the quantiles are those without them (Abbott's correction). Intervals by profile likelihood, approximate with few runs in the rise.",
		page.Figure(n.Spread.Value), page.Figure(n.Spread.Low), page.Figure(n.Spread.High))
}

// shapelessWords is what a curve without a shape is, and why it has none.
func shapelessWords(f *sweep.Fit) string {
	return fmt.Sprintf("Curve: without a shape, it only does not fall (pooled adjacent violators). A normal distribution with lapses does not do: %s. Intervals are exact ones of neighbouring runs, hold for any rising curve and are wide; a quantile without one is left out.",
		strings.TrimPrefix(f.NotNormal, "no curve fits: "))
}
