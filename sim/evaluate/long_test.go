package evaluate_test

import (
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sim/evaluate"
)

// A test at the beginning of a long recording is judged as by itself, and takes less memory than the recording has:
// its lists are shared, and scans without an ask and a closed brake are not kept. It does not run beside other tests,
// whose memory would count.
func TestLongRecordings(t *testing.T) { //nolint:paralleltest // it counts what is allocated
	const rows = 200_000
	c := load(t, "healthy-down-and-up", nil)
	r, _ := record(t, c)
	short := judged(t, &c.Rig, r)
	n := len(r.Time)
	for i := n; i < rows; i++ {
		r.Time = append(r.Time, r.Time[i-1]+0.002)
	}
	for k := range r.Channels {
		values := r.Channels[k].Values
		for i := n; i < rows; i++ {
			values = append(values, values[n-1-i%100])
		}
		r.Channels[k].Values = values
	}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	long, err := evaluate.Evaluate(&c.Rig, r, evaluate.Options{})
	require.NoError(t, err)
	runtime.ReadMemStats(&after)
	kept := 8 * rows * (1 + len(r.Channels))
	assert.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(kept), "of %d bytes of values", kept)
	assert.Equal(t, short.Checks, long.Checks)
	assert.Equal(t, short.Verdict, long.Verdict)
}
