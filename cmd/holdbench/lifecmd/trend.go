package lifecmd

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant/problem"
	"holdbench/sim/life"
)

func (v *lifePage) trend() {
	v.Section("lead time of a trend warning")
	v.Prose(problem.Text("A warning is the first value that differs from the mean of the first %d values of a brake by more than %d standard deviations, and by more than %s of that mean and %g deg or %g mm.",
		life.TrendBase, life.TrendSigma, share(life.TrendShare), life.TrendMinDeg, life.TrendMinMM))
	v.Line()
	var rows [][]string
	for i := range v.sum.Indicators {
		s := &v.sum.Indicators[i]
		earlier, by := "none", "-"
		if s.TakenOut > 0 {
			earlier = fmt.Sprintf("%d of %d", s.Warned, s.TakenOut)
		}
		if s.Warned > 0 {
			by = days(s.AheadH.Median)
		}
		rows = append(rows, []string{s.Indicator.String(), earlier, by, strconv.Itoa(s.FalseWarnings)})
	}
	v.grid([]string{"", "warned earlier", "by, median", "false warnings"}, rows)
	v.Line()
	v.Prose("warned earlier: of the brakes that were replaced after a failed test or a load drop. false warnings: brakes whose torque was still sufficient at the end, although it may have changed. In this model the deflection of a closed brake does not depend on its lining until it slips, and loads and speeds are always the same; a real machine scatters more.")
	v.strips()
}

// days are hours in days where there are many.
func days(h float64) string {
	if h < 48 {
		return hours(h)
	}
	return fmt.Sprintf("%.1f days", h/24)
}

// strips draws one history over time: one with a replaced brake, or else the first.
func (v *lifePage) strips() {
	r := v.shown()
	v.Line()
	v.Prose(fmt.Sprintf("History %d of %d, from the first day to the last; wind-up and slip of the tests that passed:", r.History+1, v.plan.Histories))
	var seen, slip, distance []lifeValue
	for _, p := range r.TestPoints {
		if p.Judged && p.Passed {
			seen = append(seen, lifeValue{p.At, p.MeasuredDeg})
			slip = append(slip, lifeValue{p.At, p.SlipDeg})
		}
	}
	for _, p := range r.StopPoints {
		distance = append(distance, lifeValue{p.At, p.DistanceMM})
	}
	v.strip1("wind-up read, deg", seen, r.Span)
	v.strip1("slip, deg", slip, r.Span)
	v.strip1("stop distance, mm", distance, r.Span)
	v.marks(r)
}

func (v *lifePage) shown() *life.Record { return life.Shown(v.study.Records) }

// lifeValue is a value of a history.
type lifeValue struct {
	at time.Duration
	x  float64
}

// stripLabel is the room for names and edges beside a strip.
const (
	stripName = 18
	stripEdge = 9
)

// strip1 draws values over a history; a column shows the largest of its time.
func (v *lifePage) strip1(name string, list []lifeValue, span time.Duration) {
	const rows = 2
	if len(list) == 0 {
		v.Line("  ", page.Pad(name, stripName), "no value")
		return
	}
	columns := make([]page.Column, v.columns())
	low, high := list[0].x, list[0].x
	for _, m := range list {
		c := &columns[v.columnOf(m.at, span)]
		if !c.Filled || m.x > c.Value {
			*c = page.Column{Filled: true, Value: m.x}
		}
		low, high = min(low, m.x), max(high, m.x)
	}
	edges := []string{page.Figure(page.Round(high)), page.Figure(page.Round(low))}
	for i, line := range v.Strip(columns, low, high, rows) {
		label := ""
		if i == 0 {
			label = name
		}
		v.Line("  ", page.Pad(label, stripName), page.PadLeft(edges[i], stripEdge), " ", v.Style.Plant.Render(line))
	}
}

func (v *lifePage) columns() int { return max(10, v.Width-2-stripName-stripEdge-1) }

func (v *lifePage) columnOf(at, span time.Duration) int {
	return min(v.columns()-1, int(float64(v.columns())*float64(at)/float64(span)))
}

// marks shows below the strips when torque became insufficient and when a test failed.
func (v *lifePage) marks(r *life.Record) {
	row := []rune(strings.Repeat(" ", v.columns()))
	for _, p := range r.TestPoints {
		if !p.Passed {
			row[v.columnOf(p.At, r.Span)] = 'x'
		}
	}
	for _, e := range r.Exposures {
		row[v.columnOf(e.From, r.Span)] = 'u'
	}
	v.Line("  ", page.Pad("", stripName+stripEdge), " ", string(row))
	v.Prose("x a test failed; u torque became insufficient, detected in the same column or later.")
}
