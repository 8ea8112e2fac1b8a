package runcmd

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// However long a run is, a bounded number of samples stands for it: the highest and the lowest value of each
// quantity are there, near their time, and so are the first and the last scan.
func TestTheSamplesOfALongRunAreBounded(t *testing.T) {
	const scans = 5*mostSamples + 12_345
	b := &traceBuffer{}
	most := 0
	for i := range scans {
		at := float64(i) / 500
		s := sample{t: at, motorNM: math.Sin(at), loadMM: at, dropMM: 1}
		switch i {
		case 77_777:
			s.motorNM, s.dropMM = 9, -3
		case 77_779:
			s.motorNM = -8
		case scans - 1:
			s.currentA = 5
		}
		b.add(s)
		most = max(most, len(b.samples))
	}
	b.finish()
	require.LessOrEqual(t, most, mostSamples)
	require.Greater(t, len(b.samples), mostSamples/2, "and no fewer than a page can show")
	require.InDelta(t, float64(scans-1)/500, b.end(), 1e-9)
	var high, low, drop, last int
	for i, s := range b.samples {
		if i > 0 {
			require.True(t, s.t > b.samples[i-1].t && s.loadMM >= b.samples[i-1].loadMM, "sample %d", i)
		}
		switch s.motorNM {
		case 9:
			high = i
		case -8:
			low = i
		}
		if s.dropMM == -3 {
			drop = i
		}
		if s.currentA == 5 {
			last = i
		}
	}
	apart := 2 * float64(b.joined) / 500
	for _, i := range []int{high, low, drop} {
		require.InDelta(t, 77_778.0/500, b.samples[i].t, apart)
	}
	require.LessOrEqual(t, high, low, "the highest came first")
	require.GreaterOrEqual(t, last, len(b.samples)-2)
}
