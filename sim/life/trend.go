package life

import (
	"math"
	"time"

	"holdbench/plant/portable"
)

// Indicator is a quantity that can be monitored from test to test or from stop to stop.
type Indicator int

// The indicators.
const (
	WindUp         Indicator = iota // deg, of the brake under the test torque, truth
	MeasuredWindUp                  // deg, the same measured by the encoder of the sequence
	Slip                            // deg, until the verdict, truth
	StopDistance                    // mm, of a power failure while lowering
	indicators
)

// Indicators lists every indicator.
func Indicators() []Indicator { return []Indicator{WindUp, MeasuredWindUp, Slip, StopDistance} }

// String is an indicator in words.
func (s Indicator) String() string {
	return [...]string{"wind-up under the test torque", "wind-up read from the encoder", "slip in the test", "distance at a power failure"}[s]
}

// The rule of a warning: a value that deviates from the mean of the first TrendBase values of
// this brake by more than TrendSigma of their standard deviations, and by more than TrendShare
// of that mean and TrendMinDeg or TrendMinMM. TrendSigma is the usual limit of a control chart
// and one more for the number of values (ISO 7870-2 has 3, from memory); the others stand for
// the scatter of loads and speeds, which a real machine has and this calendar has not (a
// choice).
const (
	TrendBase   = 20
	TrendSigma  = 4
	TrendShare  = 0.1
	TrendMinDeg = 0.05
	TrendMinMM  = 0.2
)

// trend holds the control charts of one brake.
type trend struct {
	charts [indicators]chart
}

// chart is the control chart of one indicator.
type chart struct {
	base        []float64
	mean, limit float64 // the centre, and the largest deviation without a warning
	warnedAt    time.Duration
}

func newTrend() trend {
	var t trend
	for i := range t.charts {
		t.charts[i].warnedAt = never
	}
	return t
}

// add takes the next value.
func (w *chart) add(at time.Duration, x float64, s Indicator) {
	if len(w.base) < TrendBase {
		w.base = append(w.base, x)
		if len(w.base) == TrendBase {
			mean, sd := portable.MeanDeviation(w.base)
			w.mean, w.limit = mean, max(TrendSigma*sd, TrendShare*mean, s.minDeviation())
		}
		return
	}
	if w.warnedAt == never && math.Abs(x-w.mean) > w.limit {
		w.warnedAt = at
	}
}

func (s Indicator) minDeviation() float64 {
	if s == StopDistance {
		return TrendMinMM
	}
	return TrendMinDeg
}

// Lead is the lead time of an indicator: how long it warned of a brake ahead of the test or the
// load drop after which the brake was exchanged.
type Lead struct {
	Indicator Indicator
	Warned    bool          // at all
	Ahead     time.Duration // 0 without a warning
}

// observe takes the value of an indicator.
func (j *simulation) observe(s Indicator, x float64) {
	if s == StopDistance {
		j.record.StopPoints = append(j.record.StopPoints, StopPoint{j.now, x})
	}
	j.trend.charts[s].add(j.now, x, s)
}

// recordLeads records the lead times of the indicators when a test or a load drop has detected
// the brake.
func (j *simulation) recordLeads(detected time.Duration) {
	for _, s := range Indicators() {
		l := Lead{Indicator: s}
		if at := j.trend.charts[s].warnedAt; at < detected {
			l.Warned, l.Ahead = true, detected-at
		}
		j.record.Leads = append(j.record.Leads, l)
	}
}

// recordFalseWarnings counts the warnings of a brake with sufficient torque at the end.
func (j *simulation) recordFalseWarnings() {
	for s := range j.trend.charts {
		if j.trend.charts[s].warnedAt != never {
			j.record.Warnings[s]++
		}
	}
}
