package main

import (
	"context"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/command"
)

// leavesTheTest are parts of words with which a command would write elsewhere, start a program or wait.
func leavesTheTest() []string {
	return []string{"/", `\`, "..", "controller", "listen", "modbus", "attach", "schema-out"}
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
