package problem_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"holdbench/plant/problem"
)

// Numbers are written as people write them.
func TestNumber(t *testing.T) {
	t.Parallel()
	for x, want := range map[float64]string{
		0: "0", 1000: "1000", -10000: "-10,000", 1e6: "1,000,000", 1e8: "100,000,000", 1234567: "1,234,567", 4294967296: "4,294,967,296",
		0.001: "0.001", 1e-6: "0.000001", 1e-8: "1e-8", 12345.5: "12,345.5", -1e6: "-1,000,000", 1e9: "1,000,000,000", 1e12: "1e12", 1e300: "1e300",
		1.25e20: "1.25e20", math.Inf(1): "+Inf",
	} {
		assert.Equal(t, want, problem.Number(x))
	}
	assert.Equal(t, "NaN", problem.Number(math.NaN()))
}

// Times have no zeros at their ends.
func TestTime(t *testing.T) {
	t.Parallel()
	for d, want := range map[time.Duration]string{
		0: "0s", time.Minute: "1m", time.Hour: "1h", 90 * time.Minute: "1h30m", 100_000 * time.Second: "27h46m40s", 1500 * time.Millisecond: "1.5s",
		9000 * time.Hour: "9000h", 10 * time.Second: "10s", 600 * time.Second: "10m",
	} {
		assert.Equal(t, want, problem.Time(d))
	}
}

// A message writes its numbers and times so, and all else as fmt does.
func TestText(t *testing.T) {
	t.Parallel()
	assert.Equal(t, "is 2,000,000; must be between 0.00001 and 1,000,000", problem.Text("is %g; must be between %g and %g", 2e6, 1e-5, 1e6))
	assert.Equal(t, "12,346 N·m, 1.235, 0.00001235 and -3", problem.Text("%.4g N·m, %.4g, %.4g and %.2g", 12345.6, 1.23456, 1.23456e-5, -3.0))
	assert.Equal(t, "999,999, 26,000,000,000 and 1e20", problem.Text("%.2g, %.2g and %.2g", 999999.0, 2.6179e10, 1.02e20))
	assert.Equal(t, "9999, 10,000 and 1", problem.Text("%.3g, %.4g and %.3g", 9999.4, 9999.6, 0.99996))
	assert.Equal(t, "12.3% of   1, 1h, 8ms, 5 of word", problem.Text("%.1f%% of %3.0f, %s, %v, %d of %s", 12.34, 1.0, time.Hour, 8*time.Millisecond, 5, "word"))
	assert.Equal(t, "999h, 1000 h, 27,777 h", problem.Text("%s, %s, %v", 999*time.Hour, 1000*time.Hour, 100_000_000*time.Second))
	p := problem.At("stops", "is %g, after %s", 1e6, time.Hour)
	assert.Equal(t, "is 1,000,000, after 1h", p.Message)
}
