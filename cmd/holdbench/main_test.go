package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "rewrite golden files")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"holdbench": main})
}

// TestScripts runs every command, exit code and kind of bad input as text.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 filepath.Join("testdata", "script"),
		UpdateScripts:       *update,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		// exits N checks the exit code of the command that follows.
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"exits": exits},
		// [race] is whether the race detector runs.
		Condition: func(name string) (bool, error) {
			if name != "race" {
				return false, fmt.Errorf("there is no condition %q; must be race", name)
			}
			return raceEnabled, nil
		},
	})
}

// exits runs the program in this process and checks its exit code: exits 2 run nosuch.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits CODE ARGUMENT...")
	}
	err := ts.Exec("holdbench", args[1:]...)
	code := "0"
	if err != nil {
		code = strings.TrimPrefix(err.Error(), "exit status ")
	}
	if code != args[0] {
		ts.Fatalf("exit code is %s, want %s: holdbench %s", code, args[0], strings.Join(args[1:], " "))
	}
}

// outcome is one run of the program inside the test.
type outcome struct {
	code           int
	stdout, stderr string
}

func invoke(ctx context.Context, args ...string) outcome {
	var stdout, stderr bytes.Buffer
	code := run(ctx, args, strings.NewReader(""), &stdout, &stderr, func(string) string { return "" })
	return outcome{code, stdout.String(), stderr.String()}
}

// Runs are pure functions of documents and seed, whatever the number of workers
// (the aim of the element).
func TestSameBytes(t *testing.T) {
	t.Run("CheckOnAnyNumberOfWorkers", func(t *testing.T) {
		for _, args := range [][]string{{"--json"}, {"--tap", "healthy", "brake"}, {"--ascii", "signals", "drive"}} {
			one := invoke(t.Context(), append([]string{"check", "--workers", "1"}, args...)...)
			eight := invoke(t.Context(), append([]string{"check", "--workers", "8"}, args...)...)
			require.NotEmpty(t, one.stdout)
			assert.Equal(t, one.stdout, eight.stdout, args)
		}
	})
	t.Run("TraceOfOneSeed", func(t *testing.T) {
		first := invoke(t.Context(), "run", "healthy-down", "--seed", "7", "--trace", "-")
		again := invoke(t.Context(), "run", "healthy-down", "--seed", "7", "--trace", "-")
		other := invoke(t.Context(), "run", "healthy-down", "--seed", "8", "--trace", "-")
		require.Equal(t, exitOK, first.code, first.stderr)
		assert.Equal(t, first.stdout, again.stdout)
		assert.NotEqual(t, first.stdout, other.stdout)
	})
	t.Run("JUnitReport", func(t *testing.T) {
		one := invoke(t.Context(), "check", "--junit", "-", "--workers", "1", "healthy", "brake")
		eight := invoke(t.Context(), "check", "--junit", "-", "--workers", "8", "healthy", "brake")
		require.Contains(t, one.stdout, "<testsuites")
		assert.Equal(t, one.stdout, eight.stdout)
	})
}

// No output of ours ends a line in blanks or is wider than the page.
func TestPageIsKept(t *testing.T) {
	if raceEnabled {
		t.Skip("one command after the other, too slow with the race detector; the scripts run the same code")
	}
	for _, args := range [][]string{
		{"run", "encoder-frozen"}, {"run", "stale-verdict-believed"}, {"check", "engineering"}, {"check", "--mutate", "--sequence", "hasty"}, {"list"}, {"list", "scenarios", "--long"},
		{"probe", "--fault", "encoder-frozen", "--through", "link-down"}, {"probe", "--fault", "lining-worn", "--state", "travel"},
		{"sweep", "healthy-down-and-up", "--runs", "100"}, {"sweep", "healthy-down", "--runs", "3", "--map"}, {"size", "--help"}, {"life", "--help"},
		{"list", "faults"}, {"list", "targets"}, {"list", "settings"}, {"run", "healthy-down", "--fault", "lining-worn=0.2@press_down+120ms"},
		{"show", "fault", "load-left-out"}, {"show", "fault", "brake-hot"}, {"show", "fault", "coupling-lies", "--rig", "twin-lift"}, {"show", "kiln-gate", "--derived"}, {"show", "magnitude-alone", "--resolved"},
		{"--help"}, {"run", "--help"}, {"check", "--help"}, {"probe", "--help"}, {"sweep", "--help"}, {"merge", "--help"}, {"list", "--help"}, {"show", "--help"}, {"vet", "--help"}, {"completion", "--help"},
	} {
		got := invoke(t.Context(), args...)
		for line := range strings.Lines(got.stdout) {
			line = strings.TrimSuffix(line, "\n")
			assert.LessOrEqual(t, cells(line), narrow, "%v: %s", args, line)
			assert.Equal(t, strings.TrimRight(line, " "), line, "%v", args)
		}
	}
}

// Every command has an example in its help, and the examples work.
func TestExamplesWork(t *testing.T) {
	if raceEnabled {
		t.Skip("one command after the other, too slow with the race detector; the scripts run the same code")
	}
	t.Chdir(t.TempDir())
	root := (&app{env: func(string) string { return "" }}).root()
	commands := append(root.Commands(), root)
	for _, c := range commands {
		require.NotEmpty(t, c.Example, c.Name())
		for line := range strings.Lines(c.Example) {
			line = strings.TrimSpace(line)
			line, _, _ = strings.Cut(line, " > ")
			line, _, _ = strings.Cut(line, " | ")
			line = strings.TrimSuffix(strings.TrimPrefix(line, "source <("), ")")
			args := strings.Fields(strings.ReplaceAll(line, "'", ""))
			require.Equal(t, "holdbench", args[0], line)
			got := invoke(t.Context(), args[1:]...)
			assert.Less(t, got.code, exitWrong, "%s: %s", line, got.stderr)
		}
	}
}

// Everything that is interrupted ends with 3 and keeps what was finished.
func TestInterrupted(t *testing.T) {
	t.Run("Check", func(t *testing.T) {
		ctx, cancel := context.WithCancel(t.Context())
		junitFile := filepath.Join(t.TempDir(), "report.xml")
		var stdout, stderr bytes.Buffer
		code := run(ctx, []string{"check", "--json", "--workers", "1", "--junit", junitFile}, nil,
			&cancelling{&stdout, cancel}, &stderr, func(string) string { return "" })
		assert.Equal(t, exitInterrupted, code)
		assert.Contains(t, stderr.String(), "interrupted; not run:")
		assert.GreaterOrEqual(t, strings.Count(stdout.String(), "\n"), 1)
		assert.True(t, strings.HasSuffix(stdout.String(), "}\n"), "the last object is whole")
		report, err := os.ReadFile(junitFile)
		require.NoError(t, err)
		assert.Contains(t, string(report), "interrupted before it ran")
	})
	t.Run("CheckBeforeItBegan", func(t *testing.T) {
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		got := invoke(ctx, "check", "--tap")
		assert.Equal(t, exitInterrupted, got.code)
		assert.Contains(t, got.stdout, "Bail out!")
	})
	t.Run("Mutate", func(t *testing.T) {
		ctx, cancel := context.WithCancel(t.Context())
		var stdout, stderr bytes.Buffer
		code := run(ctx, []string{"check", "--mutate", "--sequence", "hasty", "--json", "--workers", "1"}, nil,
			&cancelling{&stdout, cancel}, &stderr, func(string) string { return "" })
		assert.Equal(t, exitInterrupted, code)
		assert.Regexp(t, "interrupted; [0-9]+ of [0-9]+ mutants tried", stderr.String())
		assert.True(t, strings.HasSuffix(stdout.String(), "}\n"), "the last object is whole")
	})
	t.Run("MutateBeforeItBegan", func(t *testing.T) {
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		got := invoke(ctx, "check", "--mutate")
		assert.Equal(t, exitInterrupted, got.code)
		assert.Empty(t, got.stdout)
	})
	t.Run("RunLeavesNoTrace", func(t *testing.T) {
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		folder := t.TempDir()
		got := invoke(ctx, "run", "healthy-down", "--trace", filepath.Join(folder, "a.csv"))
		assert.Equal(t, exitInterrupted, got.code, got.stderr)
		left, err := os.ReadDir(folder)
		require.NoError(t, err)
		assert.Empty(t, left)
	})
}

// cancelling ends a context with the first thing that is written.
type cancelling struct {
	to     *bytes.Buffer
	cancel context.CancelFunc
}

func (c *cancelling) Write(p []byte) (int, error) {
	defer c.cancel()
	return c.to.Write(p)
}
