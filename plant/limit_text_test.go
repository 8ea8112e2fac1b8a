package plant

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Bounds are written as people write them.
func TestLimitText(t *testing.T) {
	t.Parallel()
	for x, want := range map[float64]string{
		0: "0", 1000: "1000", -10000: "-10,000", 1e6: "1e6", 1e7: "1e7", 1234567: "1,234,567", 1e8: "1e8", 4294967296: "4,294,967,296",
		0.001: "0.001", 1e-6: "0.000001", 1e-8: "1e-8", 12345.5: "12,345.5", -1e6: "-1e6", 1e12: "1e12",
	} {
		assert.Equal(t, want, limitText(x))
	}
	for s, want := range map[float64]string{0: "0s", 60: "1m", 1e5: "27h46m40s", 3600 * 999: "999h", 3600 * 1000: "1000 h", 1e8: "27,777 h"} {
		assert.Equal(t, want, limitTime(s))
	}
}

// No range of the table is in a notation of computers.
func TestRangesAreReadable(t *testing.T) {
	t.Parallel()
	for _, f := range Fields() {
		assert.NotRegexp(t, `e\+|e-0|\b[1-9]\d{4}|h\d+m\d+s.*h\d+m\d+s|\d{4}h`, f.Range(), f.Key)
	}
}
