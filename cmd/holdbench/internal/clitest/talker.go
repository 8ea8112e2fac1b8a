package clitest

import (
	"fmt"
	"io"
	"os"

	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim/remote/talker"
)

// talk is the program talker: a built-in sequence, by its name, as a controller outside.
func talk() {
	if err := serve(os.Args[1:]); err != nil {
		_, _ = fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func serve(args []string) error {
	name := "reference"
	if len(args) > 0 {
		name = args[0]
	}
	logic, _, err := scenarios.LoadLogic(name)
	if err != nil {
		return err
	}
	program, ok := logic.(*sequence.Program)
	if !ok {
		return fmt.Errorf("%s is no document", name)
	}
	return talker.Serve(program, struct {
		io.Reader
		io.Writer
	}{os.Stdin, os.Stdout})
}
