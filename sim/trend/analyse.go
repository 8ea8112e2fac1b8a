package trend

import (
	"holdbench/sim/statistics"
)

// What an analysis is made with.
const (
	Level           = 0.05 // largest chance of a trend in any of the quantities where none has one
	LeastTests      = 10   // of a trend: fewer give none
	MostTests       = 2000 // of a series: all pairs of values are compared
	SlopeConfidence = 0.95
	// The early end of an interval that leaves out 5 % at each side.
	ProjectionConfidence = 0.9
	newest               = 3 // tests of which two at a limit have reached it
)

// Series is one quantity over the tests that show it, in their order.
type Series struct {
	Quantity      Quantity
	Times, Values []float64
	Limit         *Limit // nil: none is known
}

// Options are how a history is looked at.
type Options struct {
	Horizon float64 // of the axis, in which a service counts as a finding; 0 is the axis' own
	AsOf    float64 // from which it counts
}

// Report is what was found in a history.
type Report struct {
	Trends  []Trend
	Tested  int // quantities with enough tests
	Horizon float64
	AsOf    Moment
}

// Finding is whether a limit is reached, or may be within the horizon.
func (r *Report) Finding() bool {
	for i := range r.Trends {
		if r.Trends[i].Finding {
			return true
		}
	}
	return false
}

// Trend is what was found in one quantity.
type Trend struct {
	Series  *Series
	Changes []Change
	Start   int // place of the first test of the trend: behind the last change of level
	Line    *statistics.Line
	PValue  float64            // of Mann and Kendall
	Holm    float64            // the same, adjusted for the number of quantities
	Found   bool               // rises or falls, at the level
	Serial  *statistics.Serial // of the residuals of all levels and of the line

	Meets *Projection // of the limit that the values approach; nil if they approach none
	Advice
}

// Change is a change of the level.
type Change struct {
	After, Before Moment // the tests at both sides of it
	Shift         float64
	PValue        float64
}

// Tests are those from which the trend is taken.
func (t *Trend) Tests() int { return len(t.Series.Values) - t.Start }

// Enough is whether the quantity has enough tests for a trend.
func (t *Trend) Enough() bool { return t.Line != nil }

func (t *Trend) part() (times, values []float64) {
	return t.Series.Times[t.Start:], t.Series.Values[t.Start:]
}

// Analyse looks for trends in all series at once: their p values are held against the level together.
func Analyse(all []Series, axis Axis, o Options) *Report {
	if o.Horizon == 0 {
		o.Horizon = axis.Horizon()
	}
	r := &Report{Trends: make([]Trend, len(all)), Horizon: o.Horizon, AsOf: *axis.Moment(o.AsOf)}
	var p []float64
	for i := range all {
		t := &r.Trends[i]
		t.Series = &all[i]
		t.follow(axis)
		if t.Enough() {
			p = append(p, t.PValue)
		}
	}
	r.Tested = len(p)
	adjusted := statistics.Holm(p)
	for i := range r.Trends {
		t := &r.Trends[i]
		if t.Enough() {
			t.Holm, adjusted = adjusted[0], adjusted[1:]
			t.Found = t.Holm <= Level && t.Line.Slope != 0
			t.Meets = t.project(o.AsOf)
		}
		t.Advice = t.advise(axis, o)
	}
	return r
}

// follow finds changes of level, and takes the trend of what came after the last.
func (t *Trend) follow(axis Axis) {
	times, values := t.Series.Times, t.Series.Values
	places := append(changes(times, values), len(values))
	var residuals []float64
	from := 0
	for i, after := range places[:len(places)-1] {
		to := places[i+1]
		c, _ := statistics.Pettitt(values[from:to]) // its errors are of less than two values, or infinite ones
		before := statistics.Median(values[from:after])
		t.Changes = append(t.Changes, Change{
			After: *axis.Moment(times[after-1]), Before: *axis.Moment(times[after]),
			Shift: statistics.Median(values[after:to]) - before, PValue: c.PValue,
		})
		for _, value := range values[from:after] {
			residuals = append(residuals, value-before)
		}
		from = after
	}
	t.Start = from
	if t.Tests() < LeastTests {
		return
	}
	times, values = t.part()
	line, err := statistics.TheilSen(times, values, SlopeConfidence)
	if err != nil {
		return // all tests at one or two times
	}
	kendall, _ := statistics.MannKendall(times, values) // its errors are those of the line
	for i, value := range values {
		residuals = append(residuals, value-line.At(times[i]))
	}
	serial := statistics.SerialCorrelation(residuals)
	t.Line, t.PValue, t.Serial = &line, kendall.PValue, &serial
}
