package main

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/clitest"
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
)

func TestMain(m *testing.M) { clitest.Main(m, main) }

func TestScripts(t *testing.T) { clitest.Scripts(t) }

func invoke(ctx context.Context, args ...string) clitest.Outcome {
	return clitest.Program(root).Invoke(ctx, args...)
}

// No output of ours ends a line in blanks or is wider than the page.
func TestPageIsKept(t *testing.T) {
	if clitest.Race {
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
		for line := range strings.Lines(got.Stdout) {
			line = strings.TrimSuffix(line, "\n")
			assert.LessOrEqual(t, page.Cells(line), page.Narrow, "%v: %s", args, line)
			assert.Equal(t, strings.TrimRight(line, " "), line, "%v", args)
		}
	}
}

// Every command has an example in its help, and the examples work.
func TestExamplesWork(t *testing.T) {
	if clitest.Race {
		t.Skip("one command after the other, too slow with the race detector; the scripts run the same code")
	}
	t.Chdir(t.TempDir())
	root := root((&command.App{Env: func(string) string { return "" }}))
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
			assert.Less(t, got.Code, command.ExitWrong, "%s: %s", line, got.Stderr)
		}
	}
}
