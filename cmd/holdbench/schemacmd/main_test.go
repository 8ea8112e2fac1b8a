package schemacmd

import (
	"testing"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/clitest"
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/sim"
)

// program is a holdbench of what this package has, with one output.
func program() clitest.Program {
	return clitest.With(func(a *command.App) *cobra.Command {
		return New(a, []Output{{Name: "run", About: "the result of a run", Lines: []any{sim.Result{}}}})
	})
}

func TestMain(m *testing.M) { program().Main(m) }

func TestScripts(t *testing.T) { clitest.Scripts(t) }

func TestPageIsKept(t *testing.T) { program().Pages(t, "schema --help", "schema") }
