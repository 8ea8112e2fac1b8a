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

// The sides of the outcome stay apart, however long a cause or a state is, and stand below each
// other where they do not fit beside each other.
func TestOutcomeColumnsStayApart(t *testing.T) {
	wide := timelinePage(t, "emergency-stop-under-torque-control", clitest.PlainScreen(80, false))
	require.Regexp(t, `(?m)^cause     excessive-travel-torque  \S`, wide)
	narrow := timelinePage(t, "emergency-stop-under-torque-control", clitest.PlainScreen(60, false))
	require.Regexp(t, `(?m)^cause     excessive-travel-torque$`, narrow)
	require.Regexp(t, `(?m)^true values$`, narrow)
}

// A run that harms ends without the sign that calms, although its scenario expects the harm.
func TestHarmIsNotCalmed(t *testing.T) {
	for _, scenario := range []string{"severed-while-the-first-brake-is-tested", "lining-creeps-short-dwell", "fading-lining-tested-cold"} {
		text := timelinePage(t, scenario, clitest.PlainScreen(80, false))
		require.NotContains(t, text, "✓ as expected", scenario)
		require.NotContains(t, text, "Safe", scenario)
		require.Contains(t, text, "as expected of this scenario, which shows harm: ", scenario)
	}
}

// An expectation that a scenario has many times is named once, with their number.
func TestExpectationsAreCounted(t *testing.T) {
	require.Equal(t, []string{"end", "took (3)", "path"}, counted([]string{"end", "took", "path", "took", "took"}))
}

// What a brake lost between the verdict and the end stands beside what it had.
func TestCapacityAtTheEnd(t *testing.T) {
	text := timelinePage(t, "fading-lining-tested-cold", clitest.PlainScreen(80, false))
	require.Regexp(t, `capacity    9 of 3\.65 N·m required, \+146 %`, text)
	require.Regexp(t, `at the end  3\.17 of 3\.65 N·m required, -13 %`, text)
	require.NotContains(t, timelinePage(t, "healthy-down-and-up", clitest.PlainScreen(80, false)), "at the end  ")
}

// A severed transmission makes two bodies of the axis, and what the brakes carry is no sum any more:
// the load of 9.99 N·m hangs on brake 2, while the motor presses against brake 1.
func TestBrakesOfTwoBodiesAreNotAdded(t *testing.T) {
	text := timelinePage(t, "severed-held-by-the-second-brake", clitest.PlainScreen(80, false))
	require.Regexp(t, `(?m)^ +\d+\.\d+ ▸ state +recover_transfer +-28\.\d+ \S+ +\S+ +9\.99 `, text)
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
