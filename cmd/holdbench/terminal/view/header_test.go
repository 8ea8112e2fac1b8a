package view_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"holdbench/cmd/holdbench/terminal/view"
)

// stateRow is the second row of the header, which has the state of the run and its outcome.
func stateRow(s *view.Scene, width int) string {
	return strings.Split(text(view.Header, width, 2, s), "\n")[1]
}

// On a narrow screen the outcome loses its cause, then the verdict; the state of the run is never drawn under it.
func TestOutcomeOnANarrowScreen(t *testing.T) {
	t.Parallel()
	s, _ := scene(t, "lining-worn-thin", never)
	for width, want := range map[int]string{
		10: "✗ fail · …",
		20: "■…  ✗ fail · •caught",
		30: "■ ended       ✗ fail · •caught",
		40: "■ ended                 ✗ fail · •caught",
		50: "■ ended          ✗ fail (moved) · failed · •caught",
		60: "■ ended                    ✗ fail (moved) · failed · •caught",
		80: "■ ended           19.156 s  ▲ 1 fault          ✗ fail (moved) · failed · •caught",
	} {
		assert.Equal(t, want, stateRow(s, width), width)
	}
}

// At every width the state begins the row and the outcome ends it, whole.
func TestStateRowAtEveryWidth(t *testing.T) {
	t.Parallel()
	s, r := scene(t, "emergency-stop-at-a-failed-verdict", never)
	back := *s
	goBack(t, &back, r)
	halted, _ := withStop(t, "healthy-down-and-up", stopped)
	for width := 24; width <= 100; width++ {
		assert.Regexp(t, `^■ (ended *.*|[a-z]*…)  ✗ fail( \(moved\))?( · failed)? · •caught ✗$`, stateRow(s, width), width)
		assert.Regexp(t, `^││ paused    1×`, stateRow(&back, width), width)
		assert.Regexp(t, `^✗ stopped: line 364`, stateRow(halted, width), width)
	}
}
