package lifecmd

import (
	"bytes"
	"context"
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

// livedPage lives a few lives and lays them out for a width.
func livedPage(t *testing.T, width int, ascii bool, args ...string) string {
	t.Helper()
	a := &command.App{Stdout: &bytes.Buffer{}, Stderr: &bytes.Buffer{}, Env: func(string) string { return "" }}
	f := &lifeFlags{plan: life.Default(0)}
	c := New(a)
	c.ResetFlags()
	f.add(c)
	c.SetContext(t.Context())
	require.NoError(t, c.ParseFlags(append([]string{"--runs", "4"}, args...)))
	l, err := newLiving(a, c, c.Flags().Arg(0), f)
	require.NoError(t, err)
	require.NoError(t, l.work(t.Context()))
	return l.page(&page.Screen{Width: width, ASCII: ascii, Style: a.Screen(ascii).Style}).text()
}

// The pages as they are. A life that fails at once, one that fails slowly, one that has no
// time for tests.
func TestLifePages(t *testing.T) {
	if clitest.Race {
		t.Skip("a study a page, too slow with the race detector; the scripts run the same code")
	}
	for _, p := range []struct {
		name  string
		width int
		ascii bool
		args  []string
	}{
		{"sudden-80", 80, false, []string{"pane-hoist", "--lives", "30", "--span", "12w"}},
		{"sudden-120", 120, false, []string{"pane-hoist", "--lives", "30", "--span", "12w"}},
		{"slow-80-ascii", 80, true, []string{"kiln-gate", "--lives", "6", "--failure-every", "never", "--decline", "0.5%/day", "--interval", "1w", "--windows", "0"}},
		{"worn-80", 80, false, []string{"tilt-arm", "--lives", "4", "--span", "12w", "--stops", "4", "--decline", "0.2%/stop", "--failure-every", "500h", "--b10d", "2e6"}},
	} {
		t.Run(p.name, func(t *testing.T) {
			got := livedPage(t, p.width, p.ascii, p.args...)
			for line := range strings.Lines(got) {
				line = strings.TrimSuffix(line, "\n")
				assert.LessOrEqual(t, page.Cells(line), p.width, line)
				assert.Equal(t, strings.TrimRight(line, " "), line)
				if p.ascii {
					assert.Equal(t, strings.ToValidUTF8(line, ""), line)
					assert.Less(t, len(line), p.width+1, line)
					assert.NotRegexp(t, `[^\x00-\x7f]`, line)
				}
			}
			clitest.Golden(t, "life", p.name+".txt", got)
		})
	}
}

// Figures of any size stay on the page.
func TestLifePageKeepsItsWidth(t *testing.T) {
	if clitest.Race {
		t.Skip("a study a page, too slow with the race detector")
	}
	for _, args := range [][]string{
		{"pane-hoist", "--span", "2600w", "--interval", "150w", "--intervals", "100w,160w", "--lives", "3", "--stops", "0"},
		{"pane-hoist", "--span", "1d", "--interval", "1m", "--intervals", "1m", "--lives", "1", "--stops", "1000", "--windows", "0"},
		{"pane-hoist", "--span", "4w", "--lives", "2", "--intervals", "none", "--set", "rig.brake.wear_mm_per_mj=1000", "--stops", "50", "--service", "0s", "--cycle", "1ms", "--b10d", "1e15"},
	} {
		for line := range strings.Lines(livedPage(t, page.Narrow, false, args...)) {
			assert.LessOrEqual(t, page.Cells(strings.TrimSuffix(line, "\n")), page.Narrow, "%v: %s", args, line)
		}
	}
}

func TestLifeIsTheSameOnAnyNumberOfWorkers(t *testing.T) {
	args := []string{"life", "pane-hoist", "--lives", "4", "--span", "4w", "--runs", "1", "--intervals", "1d", "--stops", "3", "--decline", "1%/day"}
	for _, more := range [][]string{{"--json"}, {}, {"--tests", "-"}, {"--csv", "-"}} {
		one := invoke(t.Context(), append(append([]string{}, args...), append(more, "--workers", "1")...)...)
		many := invoke(t.Context(), append(append([]string{}, args...), append(more, "--workers", "5")...)...)
		require.Equal(t, command.ExitOK, one.Code, one.Stderr)
		assert.Equal(t, one.Stdout, many.Stdout)
	}
}

// What was finished is written, and nothing else.
func TestLifeInterrupted(t *testing.T) {
	t.Run("BeforeALife", func(t *testing.T) {
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		file := filepath.Join(t.TempDir(), "lives.csv")
		got := invoke(ctx, "life", "pane-hoist", "--csv", file)
		assert.Equal(t, command.ExitInterrupted, got.Code)
		assert.Contains(t, got.Stderr, "interrupted before a life was over")
		assert.Empty(t, got.Stdout)
		assert.NoFileExists(t, file)
	})
	t.Run("AfterSomeLives", func(t *testing.T) {
		ctx, cancel := context.WithCancel(t.Context())
		a := &command.App{Stdout: &bytes.Buffer{}, Stderr: &bytes.Buffer{}, Env: func(string) string { return "" }}
		f := &lifeFlags{plan: life.Default(0)}
		c := New(a)
		c.ResetFlags()
		f.add(c)
		require.NoError(t, c.ParseFlags([]string{"--runs", "1", "--lives", "50", "--span", "2w", "--workers", "1"}))
		l, err := newLiving(a, c, "pane-hoist", f)
		require.NoError(t, err)
		require.NoError(t, l.study.Measure(ctx, 2, func(int, int) {}))
		err = l.study.Live(ctx, 1, func(done, _ int) {
			if done == 3 {
				cancel()
			}
		})
		require.ErrorIs(t, err, context.Canceled)
		require.NotEmpty(t, l.study.Records)
		text := l.page(a.Screen(true)).text()
		assert.Contains(t, text, "; interrupted, there were to be 50")
		assert.Contains(t, text, "Not compared.")
		assert.False(t, l.object().Whole)
		var lives bytes.Buffer
		require.NoError(t, writeLives(&lives, l.study.Records))
		assert.Equal(t, len(l.study.Records)+1, strings.Count(lives.String(), "\n"))
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
