package checkcmd

import (
	"context"
	"io"
	"testing"

	"holdbench/cmd/holdbench/internal/clitest"
)

// program is a holdbench of what this package has, and no more.
func program() clitest.Program { return clitest.With(New) }

func TestMain(m *testing.M) { program().Main(m) }

func TestScripts(t *testing.T) { clitest.Scripts(t) }

func invoke(ctx context.Context, args ...string) clitest.Outcome {
	return program().Invoke(ctx, args...)
}

func invokeTo(ctx context.Context, stdout io.Writer, args ...string) clitest.Outcome {
	return program().InvokeTo(ctx, stdout, args...)
}
