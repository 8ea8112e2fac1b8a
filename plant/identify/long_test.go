package identify

import (
	"runtime"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant/recording"
)

// restingFor is a recording that goes on at rest up to a number of rows, with the noise that it has.
func restingFor(rec *recording.Recording, rows int) {
	n := len(rec.Time)
	step := rec.Time[1] - rec.Time[0]
	for i := n; i < rows; i++ {
		rec.Time = append(rec.Time, rec.Time[i-1]+step)
	}
	for k := range rec.Channels {
		values := rec.Channels[k].Values
		for i := n; i < rows; i++ {
			values = append(values, values[n-1-i%100])
		}
		rec.Channels[k].Values = values
	}
}

// A long recording takes some lists of its length on the way, one after the other, and is not changed: what its signals say
// as they stand is shared with it. It does not run beside other tests, whose memory would count.
func TestLongRecordings(t *testing.T) { //nolint:paralleltest // it counts what is allocated
	const rows = 200_000
	r := screwAxis()
	rec := recorded(&r, 1, manoeuvres(&r))
	restingFor(rec, rows)
	before := *rec
	before.Time, before.Channels = slices.Clone(rec.Time), slices.Clone(rec.Channels)
	for i := range before.Channels {
		before.Channels[i].Values = slices.Clone(before.Channels[i].Values)
	}

	var k track
	var err error
	own := lists(rows, func() { k, err = newTrack(rec, &r) })
	require.NoError(t, err)
	// The angle, which has another unit, and the steps of its time.
	assert.Less(t, own, 2.1)
	assert.Less(t, lists(rows, func() { find(&k) }), 8.0, "speed, acceleration, current, and five on the way, one after the other")
	for _, s := range []series{k.current, k.command, k.brake, k.closed} {
		assert.Same(t, &rec.Time[0], &s.t[0], "the times are shared")
	}

	_, err = Identify(t.Context(), []*recording.Recording{rec}, &r, Options{})
	require.NoError(t, err)
	assert.Equal(t, &before, rec)
}

// lists is what something allocates, in lists with a number for each row.
func lists(rows int, do func()) float64 {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	do()
	runtime.ReadMemStats(&after)
	return float64(after.TotalAlloc-before.TotalAlloc) / float64(8*rows)
}

// BenchmarkMillionLines finds the pieces of a recording of a million lines and fits them: B/op is all that it allocates
// beside the recording, one list after the other.
func BenchmarkMillionLines(b *testing.B) {
	r := screwAxis()
	rec := recorded(&r, 1, manoeuvres(&r))
	restingFor(rec, 1_000_000)
	b.ReportAllocs()
	for b.Loop() {
		_, err := Identify(b.Context(), []*recording.Recording{rec}, &r, Options{})
		require.NoError(b, err)
	}
}
