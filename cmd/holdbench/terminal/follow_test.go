package terminal

import (
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"

	"holdbench/cmd/holdbench/terminal/page"
)

// A follower sees the moment that the bench shows, and the truth also while the bench hides it.
func TestSnapshot(t *testing.T) {
	t.Parallel()
	s := opened(t, "lining-worn-thin", 80, 24)
	drawn := func(truth, large bool) string {
		p := page.New(80, 23, false)
		s.bench.Snapshot()(p.Area(), truth, large)
		return p.Text()
	}
	before := s.bench.Snapshot()
	s.press("end", "h")
	assert.Contains(t, s.text(), "truth hidden")
	assert.NotContains(t, s.text(), "•")
	assert.NotContains(t, drawn(false, false), "•")
	assert.NotContains(t, drawn(false, true), "•")
	assert.Contains(t, drawn(true, false), "•caught", "the trainer sees it")
	assert.Contains(t, drawn(true, true), "•caught")
	assert.NotContains(t, s.text(), "•", "which changes nothing on the bench")
	p := page.New(80, 23, false)
	before(p.Area(), true, false)
	assert.Contains(t, p.Text(), "0.000 s", "a moment that was taken stays as it was")
}

// Snapshots are drawn beside the bench while it works on the run, which the race detector watches.
func TestSnapshotsAreDrawnBesideTheBench(t *testing.T) {
	t.Parallel()
	s := opened(t, "lining-worn-thin", 80, 24)
	var shown atomic.Pointer[func(page.Area, bool, bool)]
	show := func() { drawing := s.bench.Snapshot(); shown.Store(&drawing) }
	show()
	stop, drawn := make(chan struct{}), make(chan int)
	go func() {
		n := 0
		for {
			select {
			case <-stop:
				drawn <- n
				return
			default:
				(*shown.Load())(page.New(80, 23, false).Area(), n%2 == 0, n%4 < 2)
				n++
			}
		}
	}()
	for _, key := range []string{"s", "s", "s", "s", "e", "e", "left", "t", "s", "o", "u", "h", "end", "home"} {
		s.press(key)
		show()
	}
	close(stop)
	assert.Positive(t, <-drawn)
}
