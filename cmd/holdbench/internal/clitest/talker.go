package clitest

import (
	"fmt"
	"io"
	"os"

	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim/remote/talker"
)

// talk is the program talker: a built-in sequence as a controller outside; the one in whose place it
// runs, or that of its argument.
func talk() {
	if err := talker.Serve(builtin, struct {
		io.Reader
		io.Writer
	}{os.Stdin, os.Stdout}); err != nil {
		_, _ = fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// builtin is a built-in sequence.
func builtin(name string) (*sequence.Program, error) {
	if len(os.Args) > 1 {
		name = os.Args[1]
	}
	logic, _, err := scenarios.LoadLogic(name, scenarios.Below)
	if err != nil {
		return nil, err
	}
	program, ok := logic.(*sequence.Program)
	if !ok {
		return nil, fmt.Errorf("%s is no document", name)
	}
	return program, nil
}
