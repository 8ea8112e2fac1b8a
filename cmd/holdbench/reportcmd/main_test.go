package reportcmd

import (
	"context"
	"errors"
	"io"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/clitest"
	"holdbench/cmd/holdbench/internal/command"
)

// program is a holdbench of what this package has, and no more.
func program() clitest.Program { return clitest.With(New) }

func TestMain(m *testing.M) { program().Main(m) }

func TestScripts(t *testing.T) { clitest.Scripts(t) }

func TestPageIsKept(t *testing.T) { program().Pages(t, "report --help") }

// made is the page that a report writes to standard output.
func made(t *testing.T, code int, args ...string) string {
	t.Helper()
	got := program().Invoke(t.Context(), append([]string{"report", "--out", "-"}, args...)...)
	require.Equal(t, code, got.Code, got.Stderr)
	require.Contains(t, got.Stdout, "</html>")
	return got.Stdout
}

// The same input gives the same bytes, on any number of workers: there is no clock in it.
func TestSameBytes(t *testing.T) {
	assert.Equal(t, made(t, command.ExitOK, "healthy-down", "lining-worn-thin", "--workers", "1"), made(t, command.ExitOK, "healthy-down", "lining-worn-thin", "--workers", "8"))
}

// An interrupted report writes nothing, and a closed pipe is an error.
func TestNothingIsHalfWritten(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	got := program().Invoke(ctx, "report", "healthy", "--out", "-")
	assert.Equal(t, command.ExitInterrupted, got.Code)
	assert.Empty(t, got.Stdout)
	got = program().InvokeTo(t.Context(), closedPipe{}, "report", "testdata/small/stops.yaml", "--out", "-")
	assert.Equal(t, command.ExitWrong, got.Code)
	assert.Contains(t, got.Stderr, "cannot write")
}

// closedPipe takes nothing.
type closedPipe struct{}

func (closedPipe) Write([]byte) (int, error) { return 0, errors.New("broken pipe") }

var _ io.Writer = closedPipe{}
