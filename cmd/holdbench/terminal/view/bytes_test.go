package view_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/cmd/holdbench/terminal/view"
	"holdbench/sim/history"
)

// A run that plays is watched over a remote shell as well: of 30 frames a second, the lines that have changed come to
// no more than 130 kB. The last two of the runs are those with the most. The renderer sends a line whole as soon as one
// of its cells is another.
func TestBytesWhilePlaying(t *testing.T) {
	t.Parallel()
	const kilo, most = 1000, 130
	for _, scenario := range []string{"healthy-down-and-up", "lining-worn-thin", "worn-lining-past-the-vertical", "brake-gone-in-the-first-check"} {
		for _, number := range []int{256, 1 << 24} {
			bytes := bytesPerSecond(t, scenario, page.NewPaint(page.Colours{Number: number}))
			t.Logf("%s with %d colours: %.1f kB/s", scenario, number, bytes/kilo)
			assert.LessOrEqual(t, bytes, float64(most*kilo), "%s with %d colours", scenario, number)
		}
	}
}

// bytesPerSecond plays the first seconds of a run on a screen of 120×40.
func bytesPerSecond(t *testing.T, scenario string, paint *page.Paint) float64 {
	t.Helper()
	const seconds, perSecond = 8, 30
	r := history.New(load()(t, scenario))
	p, bytes, before := page.New(120, 39, false), 0, []string{}
	for frame := range seconds * perSecond {
		r.Advance(int64(float64(frame+1)/perSecond/r.Case().Rig.Clock.Tick.Seconds()), nil)
		p.Area().Fill(' ', page.Plain)
		view.Bench(p.Area(), newest(t, r))
		lines := strings.Split(page.Trimmed(p.ANSI(paint)), "\n")
		bytes += changed(before, lines)
		before = lines
	}
	return float64(bytes) / seconds
}

// changed are the bytes of the lines that differ, with what erases the rest of a line and begins the next.
func changed(before, after []string) int {
	const ends = len("\x1b[K\r\n")
	n := 0
	for i, line := range after {
		if i >= len(before) || before[i] != line {
			n += len(line) + ends
		}
	}
	return n
}
