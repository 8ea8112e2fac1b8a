package main

import (
	"context"
	"strings"
	"testing"
	"unicode"

	"github.com/spf13/cobra"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/command"
)

// leavesTheTest are parts of words with which a command would write elsewhere, start a program or wait.
func leavesTheTest() []string {
	return []string{"/", `\`, "..", "controller", "listen", "modbus", "attach", "schema-out"}
}

// The file that a command writes in place of what it prints has one letter everywhere.
func TestOutputFileHasOneLetter(t *testing.T) {
	t.Parallel()
	found := 0
	var look func(c *cobra.Command)
	look = func(c *cobra.Command) {
		for _, name := range []string{"out", "output"} {
			if f := c.Flags().Lookup(name); f != nil {
				found++
				assert.Equal(t, "o", f.Shorthand, "%s --%s", c.CommandPath(), name)
			}
		}
		for _, inner := range c.Commands() {
			look(inner)
		}
	}
	look(root(&command.App{}))
	assert.Greater(t, found, 7)
}

// FuzzCommandLine gives the program any words, one a line, and interrupts it at once. It ends with one of its
// exit codes; what is wrong is said in words that a terminal can show, and nothing else is printed then.
func FuzzCommandLine(f *testing.F) {
	for _, c := range root(&command.App{}).Commands() {
		f.Add(c.Name())
		f.Add(c.Name() + "\n--help")
		for line := range strings.Lines(c.Example) {
			f.Add(strings.Join(strings.Fields(line)[1:], "\n"))
		}
	}
	for _, line := range []string{"run\n--set\nrig.load.mass_kg=\x1b[31m", "run\n--seed\n-1", "check\n--workers=1e9", "life\n--span\n\x00", "vet\n\u202egnp.yaml", "help\n\u0007", "--scenario\nx", "sweep\n--shard\n1/0", "__complete\nrun\n"} {
		f.Add(line)
	}
	f.Fuzz(func(t *testing.T, line string) {
		for _, part := range leavesTheTest() {
			if strings.Contains(line, part) {
				t.Skip()
			}
		}
		t.Chdir(t.TempDir())
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		o := invoke(ctx, strings.Split(line, "\n")...)
		require.Contains(t, []int{command.ExitOK, command.ExitBroken, command.ExitWrong, command.ExitInterrupted}, o.Code)
		for _, r := range o.Stderr {
			require.False(t, unicode.IsControl(r) && r != '\n', "%q", o.Stderr)
		}
		if o.Code == command.ExitWrong {
			require.NotEmpty(t, o.Stderr+o.Stdout)
		}
	})
}
