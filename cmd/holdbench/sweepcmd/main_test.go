package sweepcmd

import (
	"testing"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/clitest"
	"holdbench/cmd/holdbench/internal/command"
)

// program is a holdbench of what this package has, and no more.
func program() clitest.Program {
	return clitest.With(New, func(a *command.App) *cobra.Command { return NewMerge(a) })
}

func TestMain(m *testing.M) { program().Main(m) }

func TestScripts(t *testing.T) { clitest.Scripts(t) }
