package checkcmd

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/command"
)

// Runs are pure functions of documents and seed, whatever the number of workers
// (the aim of the element).
func TestSameBytesOnAnyNumberOfWorkers(t *testing.T) {
	forms := [][]string{{"--json"}, {"--tap", "healthy"}, {"--ascii", "signals", "drive"}} // the first with all scenarios
	if testing.Short() {
		forms = [][]string{{"--json", "healthy", "down-only"}}
	}
	for _, args := range forms {
		one := invoke(t.Context(), append([]string{"check", "--workers", "1"}, args...)...)
		eight := invoke(t.Context(), append([]string{"check", "--workers", "8"}, args...)...)
		require.NotEmpty(t, one.Stdout)
		assert.Equal(t, one.Stdout, eight.Stdout, args)
	}
	t.Run("JUnitReport", func(t *testing.T) {
		one := invoke(t.Context(), "check", "--junit", "-", "--workers", "1", "healthy")
		eight := invoke(t.Context(), "check", "--junit", "-", "--workers", "8", "healthy")
		require.Contains(t, one.Stdout, "<testsuites")
		assert.Equal(t, one.Stdout, eight.Stdout)
	})
}

// A check that is interrupted ends with 3 and keeps what was finished.
func TestInterrupted(t *testing.T) {
	t.Run("Check", func(t *testing.T) {
		ctx, cancel := context.WithCancel(t.Context())
		junitFile := filepath.Join(t.TempDir(), "report.xml")
		var stdout bytes.Buffer
		got := invokeTo(ctx, &cancelling{&stdout, cancel}, "check", "--json", "--workers", "1", "--junit", junitFile)
		assert.Equal(t, command.ExitInterrupted, got.Code)
		assert.Contains(t, got.Stderr, "interrupted; not run:")
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
		assert.Equal(t, command.ExitInterrupted, got.Code)
		assert.Contains(t, got.Stdout, "Bail out!")
	})
	t.Run("Mutate", func(t *testing.T) {
		ctx, cancel := context.WithCancel(t.Context())
		var stdout bytes.Buffer
		got := invokeTo(ctx, &cancelling{&stdout, cancel}, "check", "--mutate", "--sequence", "hasty", "--json", "--workers", "1")
		assert.Equal(t, command.ExitInterrupted, got.Code)
		assert.Regexp(t, "interrupted; [0-9]+ of [0-9]+ mutants tried", got.Stderr)
		assert.True(t, strings.HasSuffix(stdout.String(), "}\n"), "the last object is whole")
	})
	t.Run("MutateBeforeItBegan", func(t *testing.T) {
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		got := invoke(ctx, "check", "--mutate", "--sequence", "hasty")
		assert.Equal(t, command.ExitInterrupted, got.Code)
		assert.Empty(t, got.Stdout)
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
