package lifecmd

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/clitest"
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/life"
)

// coarse is a tick that does where a torque is not what is asked.
const coarse = "rig.clock.tick=1ms"

// simulated simulates a few histories.
func simulated(t *testing.T, args ...string) *session {
	t.Helper()
	a := &command.App{Stdout: &bytes.Buffer{}, Stderr: &bytes.Buffer{}, Env: func(string) string { return "" }}
	f := &lifeFlags{plan: life.Default(0)}
	c := New(a)
	c.ResetFlags()
	f.add(c)
	c.SetContext(t.Context())
	require.NoError(t, c.ParseFlags(args))
	overrides, err := f.overrides.Read(c)
	require.NoError(t, err)
	l, err := newSession(a, c, c.Flags().Arg(0), overrides, f)
	require.NoError(t, err)
	require.NoError(t, l.work(t.Context()))
	return l
}

// The pages as they are. A history with a sudden failure, one with slow degradation, one
// without time for tests.
func TestLifePages(t *testing.T) {
	if clitest.Race {
		t.Skip("a study a page, too slow with the race detector; the scripts run the same code")
	}
	for name, study := range map[string]struct {
		widths []int
		ascii  bool
		args   []string
	}{
		"sudden": {[]int{80, 120}, false, []string{"pane-hoist", "--histories", "30", "--span", "12w"}},
		"slow":   {[]int{80}, true, []string{"kiln-gate", "--histories", "6", "--failure-every", "never", "--decline", "3%/day", "--interval", "1w", "--windows", "0"}},
		"worn":   {[]int{80}, false, []string{"tilt-arm", "--histories", "4", "--span", "12w", "--stops", "4", "--power-failures", "200", "--decline", "0.2%/stop", "--failure-every", "500h", "--b10d", "2e6"}},
	} {
		t.Run(name, func(t *testing.T) {
			if name != "worn" && testing.Short() {
				t.Skip("a study a page, and one is looked at")
			}
			t.Parallel()
			l := simulated(t, append([]string{"--runs", "4", "--set", coarse}, study.args...)...)
			for _, width := range study.widths {
				file := fmt.Sprintf("%s-%d", name, width)
				if study.ascii {
					file += "-ascii"
				}
				got := l.page(clitest.PlainScreen(width, study.ascii)).text()
				clitest.KeepsToThePage(t, got, width, study.ascii)
				clitest.Golden(t, "life", file+".txt", got)
			}
		})
	}
}

// Figures of any size stay on the page.
func TestLifePageKeepsItsWidth(t *testing.T) {
	if clitest.Race {
		t.Skip("a study a page, too slow with the race detector")
	}
	for name, args := range map[string][]string{
		"long":  {"--span", "2600w", "--interval", "150w", "--intervals", "100w,160w", "--histories", "3", "--stops", "0"},
		"dense": {"--span", "1d", "--interval", "1m", "--intervals", "1m", "--histories", "1", "--stops", "1000", "--windows", "0"},
		"large": {"--span", "4w", "--histories", "2", "--intervals", "none", "--set", "rig.brake.wear_mm_per_mj=1000", "--stops", "50", "--service", "0s", "--cycle", "1ms", "--b10d", "1e15"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			l := simulated(t, append([]string{"pane-hoist", "--runs", "1", "--set", coarse}, args...)...)
			clitest.KeepsToThePage(t, l.page(clitest.PlainScreen(page.Narrow, false)).text(), page.Narrow, false)
		})
	}
}

func TestLifeIsTheSameOnAnyNumberOfWorkers(t *testing.T) {
	folder := t.TempDir()
	written := func(workers string, flags ...string) []string {
		csv, tests := filepath.Join(folder, workers+".csv"), filepath.Join(folder, workers+"-tests.csv")
		args := []string{
			"life", "pane-hoist", "--histories", "4", "--span", "4w", "--runs", "1", "--intervals", "1d", "--stops", "3", "--decline", "1%/day",
			"--set", coarse, "--workers", workers, "--csv", csv, "--tests", tests,
		}
		got := invoke(t.Context(), append(args, flags...)...)
		require.Equal(t, command.ExitOK, got.Code, got.Stderr)
		histories, err := os.ReadFile(csv)
		require.NoError(t, err)
		points, err := os.ReadFile(tests)
		require.NoError(t, err)
		return []string{got.Stdout, string(histories), string(points)}
	}
	forms := []string{"--json", "--ascii"}
	if testing.Short() {
		forms = forms[:1]
	}
	for _, flag := range forms {
		assert.Equal(t, written("1", flag), written("5", flag))
	}
}

// What was finished is written, and nothing else.
func TestLifeInterrupted(t *testing.T) {
	t.Run("BeforeAHistory", func(t *testing.T) {
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		file := filepath.Join(t.TempDir(), "histories.csv")
		got := invoke(ctx, "life", "pane-hoist", "--csv", file)
		assert.Equal(t, command.ExitInterrupted, got.Code)
		assert.Contains(t, got.Stderr, "interrupted before a history was complete")
		assert.Empty(t, got.Stdout)
		assert.NoFileExists(t, file)
	})
	t.Run("AfterSomeHistories", func(t *testing.T) {
		ctx, cancel := context.WithCancel(t.Context())
		a := &command.App{Stdout: &bytes.Buffer{}, Stderr: &bytes.Buffer{}, Env: func(string) string { return "" }}
		f := &lifeFlags{plan: life.Default(0)}
		c := New(a)
		c.ResetFlags()
		f.add(c)
		require.NoError(t, c.ParseFlags([]string{"--runs", "1", "--histories", "50", "--span", "2w", "--workers", "1", "--set", coarse}))
		overrides, err := f.overrides.Read(c)
		require.NoError(t, err)
		l, err := newSession(a, c, "pane-hoist", overrides, f)
		require.NoError(t, err)
		require.NoError(t, l.study.Measure(ctx, 2, func(int, int) {}))
		err = l.study.Simulate(ctx, 1, func(done, _ int) {
			if done == 3 {
				cancel()
			}
		})
		require.ErrorIs(t, err, context.Canceled)
		require.NotEmpty(t, l.study.Records)
		text := l.page(a.Screen(true)).text()
		assert.Contains(t, text, "; interrupted, 50 were planned")
		assert.Contains(t, text, "Not compared.")
		o, err := l.object()
		require.NoError(t, err)
		assert.False(t, o.Whole)
		var histories bytes.Buffer
		require.NoError(t, writeHistories(&histories, l.study.Records))
		assert.Equal(t, len(l.study.Records)+1, strings.Count(histories.String(), "\n"))
	})
}

// A decline is a share of the rated torque by the day or by the stop, and nothing else.
func FuzzReadDecline(f *testing.F) {
	for _, seed := range []string{"0", "0.1%/day", "1%/stop", "NaN%/day", "-1%/day", "%/day", "1%/", "1e400%/day", "0x1p3%/stop"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		perDay, perStop, err := readDecline(text)
		if err != nil {
			assert.Contains(t, err.Error(), strconv.Quote(strings.TrimSpace(text)))
			return
		}
		assert.True(t, perDay >= 0 && perDay <= 1 && perStop >= 0 && perStop <= 1 && perDay*perStop == 0, text)
	})
}

func TestNiceSteps(t *testing.T) {
	for x, want := range map[float64]float64{0: 1, 0.3: 0.5, 1: 1, 1.01: 2, 2.2: 2.5, 4: 5, 7: 10, 0.011: 0.02, 250: 250} {
		assert.InDelta(t, want, niceStep(x), 1e-9, "%g", x)
	}
}
