package trendcmd

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/chart"
	"holdbench/cmd/holdbench/internal/caution"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/evaluate"
	"holdbench/sim/trend"
)

// trendPage is the page of a history: what to do, then each quantity with its figures and its chart.
type trendPage struct {
	page.Sheet
	*followed
}

const (
	scope       = "A trend is a reason to look at the brake; without one nothing is proven: linings also fail at once, and the wind-up shows a lining only when it slips."
	chartHeight = 10
)

func (v *trendPage) text() string {
	v.Line(v.Style.Strong.Render("trend of the tests of " + page.CleanLine(v.history.Tests[0].Rig)))
	v.Prose(v.counted())
	for _, note := range v.history.Notes {
		v.Prose("! " + page.CleanLine(note) + ".")
	}
	v.Line()
	v.Prose(scope)
	v.Section("what to do")
	v.advice()
	for i := range v.report.Trends {
		if t := &v.report.Trends[i]; len(t.Series.Values) > 0 {
			v.Section(t.Series.Quantity.Name)
			v.quantity(t)
		}
	}
	v.Section("how sure this is")
	v.sure()
	v.Line()
	v.Put(caution.Short)
	return v.String()
}

// counted says which tests there are.
func (z *followed) counted() string {
	h := z.history
	n := len(h.Tests)
	text := fmt.Sprintf("%s, %d proven; from %s to %s, horizon %s %s from %s", page.Count(n, "test", "tests"), z.proven(),
		place(h.Moment(h.Place(0))), place(h.Moment(h.Place(n-1))), page.Figure(z.report.Horizon), h.Unit(), place(&z.report.AsOf))
	if h.Since > 0 {
		text += fmt.Sprintf("; the %d before %s do not count", h.Since, z.since)
	}
	return text + "."
}

// advice is one line for each quantity that a test shows.
func (v *trendPage) advice() {
	v.unproven()
	t := page.Table{}
	var missing []string
	for i := range v.report.Trends {
		x := &v.report.Trends[i]
		if len(x.Series.Values) == 0 {
			if !strings.HasPrefix(x.Series.Quantity.Name, "brake_2_") { // most axes have no second one
				missing = append(missing, x.Series.Quantity.Name)
			}
			continue
		}
		t.Add(v.sign(x), x.Series.Quantity.Name, v.Plain(adviceText(x)))
	}
	v.Put(t.Text(v.Screen, ""))
	if len(missing) > 0 {
		v.Prose("Not shown by any test: " + strings.Join(missing, ", ") + ".")
	}
}

// unproven names the tests without a proof, the newest first: the first thing to look into.
func (v *trendPage) unproven() {
	const named = 5
	h := v.history
	list := h.Unproven()
	if len(list) == 0 {
		return
	}
	sign := "!"
	if !h.NewestProven() {
		sign = v.Signs().Bad
	}
	var texts []string
	for _, i := range slices.Backward(list) {
		t := &h.Tests[i]
		text := place(h.Moment(h.Place(i))) + " " + verdictText(t)
		if i == len(h.Tests)-1 {
			text += " (the newest test)"
		}
		if texts = append(texts, text); len(texts) == named {
			break
		}
	}
	text := fmt.Sprintf("%s no proof: %s: %s", sign, page.Count(len(list), "test", "tests"), strings.Join(texts, ", "))
	if more := len(list) - len(texts); more > 0 {
		text += fmt.Sprintf(", and %d before", more)
	}
	v.Prose(text + ". Find the cause of each first: it counts whatever the trends below are.")
}

// verdictText is the verdict of a test that has no proof.
func verdictText(t *trend.Test) string {
	what := page.CleanLine(t.Verdict)
	switch {
	case t.Verdict == evaluate.None:
		what = "no verdict"
	case t.Reserved:
		return "proven, and not to be relied on"
	case t.Verdict == evaluate.Proven:
		return "proven against the bare test torque only"
	}
	if t.Cause != "" {
		what += ": " + page.CleanLine(t.Cause)
	}
	return what
}

func (v *trendPage) sign(t *trend.Trend) string {
	switch {
	case t.Finding:
		return v.Signs().Bad
	case t.Word == trend.NoTrend && len(t.Changes) == 0:
		return v.Signs().Good
	}
	return "!"
}

// adviceText is an advice in plain words.
func adviceText(t *trend.Trend) string {
	switch t.Word {
	case trend.LimitReached:
		return "limit reached: " + t.Why
	case trend.Service:
		return "service before " + place(t.Before) + ", the earliest: " + t.Why
	case trend.Watch:
		return "watch: " + t.Why
	case trend.Trending:
		return "trend: " + t.Why
	}
	return "no trend: " + t.Why
}

// quantity is what was found in one of them.
func (v *trendPage) quantity(x *trend.Trend) {
	s, h := x.Series, v.history
	unit, last := s.Quantity.Unit, len(s.Values)-1
	t := page.Table{}
	t.Add("what", v.Plain(s.Quantity.Note))
	t.Add("tests", v.Plain(fmt.Sprintf("%d, from %s %s (%s) to %s %s (%s)", last+1,
		page.Figure(s.Values[0]), unit, place(h.Moment(s.Times[0])), page.Figure(s.Values[last]), unit, place(h.Moment(s.Times[last])))))
	for _, c := range x.Changes {
		t.Add("change", v.Plain(fmt.Sprintf("between %s and %s by %+.4g %s (p %s)", place(&c.After), place(&c.Before), c.Shift, unit, small(c.PValue))))
	}
	if len(x.Changes) > 0 {
		t.Add("taken of", fmt.Sprintf("the %s since then", page.Count(x.Tests(), "test", "tests")))
	}
	if x.Enough() {
		per := h.Per()
		t.Add("slope", v.Plain(fmt.Sprintf("%+.3g %s in %.0f %s (%.0f %% interval %+.3g to %+.3g)", per*x.Line.Slope, unit, per, h.Unit(), 100*trend.SlopeConfidence, per*x.Line.Interval.Low, per*x.Line.Interval.High)))
		t.Add("trend", v.trendText(x))
	}
	for _, end := range ends(s.Limit) {
		t.Add("limit", v.Plain(fmt.Sprintf("%s %s (%s)", page.Figure(end), unit, s.Limit.From)))
	}
	if p := x.Meets; p != nil && x.Found && x.Word != trend.LimitReached {
		t.Add("meets it", v.meetsText(p))
	}
	if x.Enough() && x.Serial.Dependent() {
		t.Add("! warning", v.Plain(fmt.Sprintf("neighbouring tests depend on each other (autocorrelation %.2f): trends and changes are less sure, and intervals wider, than they are given", x.Serial.Lag1)))
	}
	v.Put(t.Text(v.Screen, ""))
	v.chart(x)
}

func (v *trendPage) trendText(x *trend.Trend) string {
	how := "none is found"
	if x.Found {
		how = "it falls"
		if x.Line.Slope > 0 {
			how = "it rises"
		}
	}
	if v.report.Tested == 1 {
		return v.Plain(fmt.Sprintf("%s: p %s", how, small(x.PValue)))
	}
	return v.Plain(fmt.Sprintf("%s: p %s alone, %s as one of %d quantities", how, small(x.PValue), small(x.Holm), v.report.Tested))
}

func (v *trendPage) meetsText(p *trend.Projection) string {
	h := v.history
	text := fmt.Sprintf("about %s, if it goes on (%.0f %% interval %s to %s)", place(h.Moment(p.Meets)), 100*trend.ProjectionConfidence, place(h.Moment(p.Earliest)), place(h.Moment(p.Latest)))
	if p.Newer {
		text += "; the early end is that of the newer half of the tests"
	}
	return v.Plain(text)
}

// small is a p value.
func small(p float64) string {
	if p < 0.0001 {
		return "below 0.0001"
	}
	return strconv.FormatFloat(p, 'g', 2, 64)
}

// chart draws a quantity over time, with its limit where that is not far away.
func (v *trendPage) chart(x *trend.Trend) {
	if len(x.Series.Values) < 2 {
		return
	}
	c := chart.Chart{X: v.across(), Series: v.curves(x)}
	first, last := x.Series.Times[0], x.Series.Times[len(x.Series.Times)-1]
	for _, end := range near(ends(x.Series.Limit), x.Series.Values) {
		c.Series = append(c.Series, chart.Series{Name: "limit", Line: true, Points: []chart.Point{{X: first, Y: end}, {X: last, Y: end}}})
	}
	v.Line()
	for _, line := range c.Text(v.Width, chartHeight, v.ASCII) {
		v.Line(line)
	}
}

func (v *trendPage) sure() {
	v.Prose(fmt.Sprintf("Of quantities without a trend, %d tested together, any is said to have one in at most %.0f %% of looks (Holm); who looks after each test sees one more often. A trend needs %d tests, a change of level a p value of %g (Pettitt) and two levels that are %d times as likely as a steady trend or one level (Schwarz). Slopes are Theil and Sen's, p values Mann and Kendall's, for tests that do not depend on each other. A projection holds if all goes on as it is.",
		v.report.Tested, 100*trend.Level, trend.LeastTests, trend.ChangeLevel, trend.ChangeOdds))
}

// near are those limits that are not so far from the values that these would be a flat line beside them.
func near(limits, values []float64) []float64 {
	const most = 5 // times the range of the values
	low, high := slices.Min(values), slices.Max(values)
	return slices.DeleteFunc(limits, func(limit float64) bool {
		return max(limit-high, low-limit) > most*(high-low)
	})
}
