// Package clitest runs commands in tests, inside the test's process or in one of their own.
package clitest

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
)

// Program makes the root command of a holdbench.
type Program func(a *command.App) *cobra.Command

// With is a holdbench that has these commands alone.
func With(commands ...func(a *command.App) *cobra.Command) Program {
	return func(a *command.App) *cobra.Command {
		root := &cobra.Command{Use: "holdbench"}
		for _, c := range commands {
			root.AddCommand(c(a))
		}
		return root
	}
}

// Main runs the tests of a package, which can start the program as a process.
func (p Program) Main(m *testing.M) {
	Main(m, func() { os.Exit(command.RunProcess(p)) })
}

// updateFlag is the flag that rewrites golden files.
const updateFlag = "update"

// Main runs the tests of a package, with holdbench as a process that does what main does, and talker as
// one that is a controller outside.
func Main(m *testing.M, main func()) {
	flag.Bool(updateFlag, false, "rewrite golden files")
	testscript.Main(m, map[string]func(){"holdbench": main, "talker": talk})
}

// Updating is whether golden files are to be rewritten.
func Updating() bool { return flag.Lookup(updateFlag).Value.String() == "true" }

// Scripts runs the scripts in testdata/script: exit codes, output and bad input as text.
func Scripts(t *testing.T) {
	t.Helper()
	cache := t.TempDir() // one for all scripts: what a start of the program keeps there takes half a second to make
	testscript.Run(t, testscript.Params{
		Dir:                 filepath.Join("testdata", "script"),
		Setup:               func(e *testscript.Env) error { e.Setenv("XDG_CACHE_HOME", cache); return nil },
		UpdateScripts:       Updating(),
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		// exits N checks the exit code of the command that follows.
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"exits": exits},
		// [race] is whether the race detector runs.
		Condition: func(name string) (bool, error) {
			if name != "race" {
				return false, fmt.Errorf("there is no condition %q; must be race", name)
			}
			return Race, nil
		},
	})
}

// exits runs the program and checks its exit code: exits 2 run nosuch.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits CODE ARGUMENT...")
	}
	err := ts.Exec("holdbench", args[1:]...)
	code := "0"
	if err != nil {
		code = strings.TrimPrefix(err.Error(), "exit status ")
	}
	if code != args[0] {
		ts.Fatalf("exit code is %s, want %s: holdbench %s", code, args[0], strings.Join(args[1:], " "))
	}
}

// Outcome is one run of a program inside the test.
type Outcome struct {
	Code           int
	Stdout, Stderr string
}

// Invoke runs the program inside the test.
func (p Program) Invoke(ctx context.Context, args ...string) Outcome {
	var stdout bytes.Buffer
	o := p.InvokeTo(ctx, &stdout, args...)
	o.Stdout = stdout.String()
	return o
}

// InvokeTo is Invoke with a standard output of the test's own.
func (p Program) InvokeTo(ctx context.Context, stdout io.Writer, args ...string) Outcome {
	var stderr bytes.Buffer
	a := &command.App{Stdin: strings.NewReader(""), Stdout: stdout, Stderr: &stderr, Env: func(string) string { return "" }}
	code := a.Execute(ctx, p(a), args)
	return Outcome{Code: code, Stderr: stderr.String()}
}
