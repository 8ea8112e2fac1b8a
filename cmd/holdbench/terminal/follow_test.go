package terminal

import (
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
