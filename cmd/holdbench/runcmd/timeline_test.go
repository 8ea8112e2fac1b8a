package runcmd

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/clitest"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/scenarios"
	"holdbench/sim"
)

func timelinePage(t *testing.T, scenario string, s *page.Screen) string {
	t.Helper()
	ready, _, err := scenarios.LoadCase(scenario, scenarios.Overrides{})
	require.NoError(t, err)
	recorder := &traceBuffer{}
	result, err := sim.RunUntil(context.Background(), ready, recorder)
	require.NoError(t, err)
	return (&timeline{Sheet: page.NewSheet(s), ready: ready, result: result, trace: recorder}).text()
}

// The page of a run as it was last looked at and found good.
func TestTimelinePages(t *testing.T) {
	for _, scenario := range []string{"healthy-down-and-up", "lining-worn-thin", "encoder-frozen"} {
		for _, width := range []int{80, 120} {
			name := fmt.Sprintf("%s-%d", scenario, width)
			t.Run(name, func(t *testing.T) {
				got := timelinePage(t, scenario, clitest.PlainScreen(width, false))
				for line := range strings.Lines(got) {
					assert.LessOrEqual(t, page.Cells(strings.TrimSuffix(line, "\n")), width)
				}
				golden(t, name+".txt", got)
			})
		}
	}
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	clitest.Golden(t, "timeline", name, got)
}

// A screen without our signs gets nothing but ASCII, as long as the document itself
// has nothing else.
func TestTimelineInASCII(t *testing.T) {
	for _, r := range timelinePage(t, "lining-worn-thin", clitest.PlainScreen(80, true)) {
		require.Less(t, r, rune(0x80), "%q", r)
	}
}

// Every kind of event has a sign of one cell.
func TestEventsHaveSigns(t *testing.T) {
	for _, kind := range sim.EventKinds() {
		for _, ascii := range []bool{true, false} {
			assert.Equal(t, 1, page.Cells(kindSign(clitest.PlainScreen(80, ascii), kind)), kind)
		}
	}
}
