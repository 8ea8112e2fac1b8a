package newcmd

import (
	"testing"

	"holdbench/cmd/holdbench/internal/clitest"
)

// program is a holdbench of what this package has, and no more.
func program() clitest.Program { return clitest.With(New) }

func TestMain(m *testing.M) { program().Main(m) }

func TestScripts(t *testing.T) { clitest.Scripts(t) }

func TestPageIsKept(t *testing.T) {
	program().Pages(t, "new --help", "new binding --help", "new rig --help", "new sequence --help", "new scenario --help", "new suite --help")
}
