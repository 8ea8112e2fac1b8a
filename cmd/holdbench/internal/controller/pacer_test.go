package controller

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// What is said of the lateness is that of the scans, whatever the clock did.
func TestTiming(t *testing.T) {
	t.Parallel()
	p := NewPacer(t.Context(), 1)
	p.Start(2 * time.Millisecond)
	require.Equal(t, "0 scans in real time, late by 0s on average, 99 % by at most 0s, one by 0s; 0 overruns", p.Measured().String())
	for range 98 {
		p.note(95*time.Microsecond, 0)
	}
	p.note(-time.Millisecond, 0)                // early is on time
	p.note(1500*time.Microsecond, 0)            // within the scan
	p.note(2500*time.Microsecond, 0)            // later than a scan
	p.note(300*time.Millisecond, 7*time.Second) // stood still: time goes on from there
	got := p.Measured()
	require.EqualValues(t, 101, got.Scans)
	require.EqualValues(t, 1, got.Overruns)
	require.EqualValues(t, 1, got.Stood)
	require.Equal(t, (98*95*time.Microsecond+4*time.Millisecond)/101, got.Mean)
	require.Equal(t, 1510*time.Microsecond, got.Within99, "the hundredth of 101, in steps of 10 µs")
	require.Equal(t, 2500*time.Microsecond, got.Most)
	require.Equal(t, 7*time.Second, p.at)
}

// A slower pace makes the same moments come later; an interrupt ends the waiting.
func TestPace(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(t.Context())
	p := NewPacer(ctx, 0.5)
	begun := time.Now()
	p.Start(2 * time.Millisecond)
	require.NoError(t, p.Wait(10*time.Millisecond))
	require.GreaterOrEqual(t, time.Since(begun), 20*time.Millisecond, "never early")
	cancel()
	require.ErrorIs(t, p.Wait(time.Hour), context.Canceled)
	require.ErrorIs(t, p.Wait(0), context.Canceled)
}
