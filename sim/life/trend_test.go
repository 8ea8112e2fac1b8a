package life

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// A control chart: the first value off the mean by more than so many standard deviations,
// and never one of those that the mean is made of.
func TestTrendWarns(t *testing.T) {
	w := newTrend().watches[StopDistance]
	for i := range TrendBase {
		w.take(time.Duration(i)*hour, []float64{9, 10, 11, 10}[i%4], StopDistance)
	}
	assert.InDelta(t, 10, w.mean, 1e-12)
	assert.InDelta(t, 4*0.7255, w.off, 1e-3, "four standard deviations, more than a tenth")
	w.take(30*hour, 12.8, StopDistance)
	assert.Equal(t, never, w.at)
	w.take(31*hour, 13, StopDistance)
	w.take(32*hour, 99, StopDistance)
	assert.Equal(t, 31*hour, w.at, "the first counts")
}

func TestTrendOfNothingButNoiseKeepsStill(t *testing.T) {
	w := newTrend().watches[SeenWindUp]
	for i := range 100 {
		w.take(time.Duration(i)*hour, 0.11+0.022*float64(i%2)*float64(i%3%2), SeenWindUp)
	}
	assert.Equal(t, never, w.at)
}

// What a sign said counts up to the test or the fall that told of the brake.
func TestLeadIsTimeAheadOfTheAlarm(t *testing.T) {
	j := &journey{trend: newTrend()}
	j.trend.watches[Slip].at = 5 * hour
	j.trend.watches[WindUp].at = 12 * hour
	j.leads(12 * hour)
	assert.Equal(t, []Lead{{Sign: WindUp}, {Sign: SeenWindUp}, {Sign: Slip, Told: true, Ahead: 7 * hour}, {Sign: StopDistance}}, j.record.Leads)
}
