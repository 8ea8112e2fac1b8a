package probecmd

import (
	"os"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/command"
)

// closed is a pipe whose reader goes after a line.
type closed struct{ lines int }

func (c *closed) Write(p []byte) (int, error) {
	if c.lines--; c.lines < 0 {
		return 0, syscall.EPIPE
	}
	return len(p), nil
}

// Who reads a line and goes has had enough: nothing is said, and no half file is left.
func TestProbeIntoAClosedPipe(t *testing.T) {
	t.Chdir(t.TempDir())
	got := invokeTo(t.Context(), &closed{2}, "probe", "--fault", "link-down", "--state", "travel", "--html", "page.html", "--json")
	assert.Equal(t, command.ExitInterrupted, got.Code)
	assert.Empty(t, got.Stderr)
	left, err := os.ReadDir(".")
	require.NoError(t, err)
	assert.Empty(t, left)
}
