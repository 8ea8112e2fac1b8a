package life

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// A control chart: the first value off the mean by more than so many standard deviations,
// and never one of those that the mean is made of.
func TestTrendWarns(t *testing.T) {
	w := newTrend().charts[StopDistance]
	for i := range TrendBase {
		w.add(time.Duration(i)*hour, []float64{9, 10, 11, 10}[i%4], StopDistance)
	}
	assert.InDelta(t, 10, w.mean, 1e-12)
	assert.InDelta(t, 4*0.7255, w.limit, 1e-3, "four standard deviations, more than a tenth")
	w.add(30*hour, 12.8, StopDistance)
	assert.Equal(t, never, w.warnedAt)
	w.add(31*hour, 13, StopDistance)
	w.add(32*hour, 99, StopDistance)
	assert.Equal(t, 31*hour, w.warnedAt, "the first counts")
}

func TestTrendOfNoiseDoesNotWarn(t *testing.T) {
	w := newTrend().charts[MeasuredWindUp]
	for i := range 100 {
		w.add(time.Duration(i)*hour, 0.11+0.022*float64(i%2)*float64(i%3%2), MeasuredWindUp)
	}
	assert.Equal(t, never, w.warnedAt)
}

// What a sign said counts up to the test or the fall that told of the brake.
func TestLeadIsTimeAheadOfTheAlarm(t *testing.T) {
	j := &simulation{trend: newTrend()}
	j.trend.charts[Slip].warnedAt = 5 * hour
	j.trend.charts[WindUp].warnedAt = 12 * hour
	j.recordLeads(12 * hour)
	assert.Equal(t, []Lead{{Indicator: WindUp}, {Indicator: MeasuredWindUp}, {Indicator: Slip, Warned: true, Ahead: 7 * hour}, {Indicator: StopDistance}}, j.record.Leads)
}
