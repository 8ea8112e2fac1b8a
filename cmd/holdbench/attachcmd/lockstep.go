package attachcmd

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/caution"
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/controller"
	"holdbench/sim/remote"
)

// lockstep runs scenarios with a controller that connects over TCP.
func lockstep(a *command.App, c *cobra.Command, references []string, f *flags, run Run) error {
	overrides, err := f.overrides.Read(c)
	if err != nil {
		return err
	}
	limits, err := f.overrides.Outside.Limits(c)
	if err != nil {
		return err
	}
	if err := a.MayListen(c, "--listen", f.listen, f.fromNetwork); err != nil {
		return err
	}
	listener, err := controller.Listen(c.Context(), f.listen, limits, func(address string) {
		_, _ = fmt.Fprintf(a.Stderr, "waiting for a controller on %s\n", address)
	})
	if err != nil {
		return command.WrongUse(c, "--listen %s: %w", f.listen, err)
	}
	defer func() { _ = listener.Close() }() // nothing is left to do
	_, _ = io.WriteString(a.Stderr, caution.Attached)
	end := a.Outside(remote.Options{Connect: listener.Connect, Most: 1, AnswerWithin: limits.Answer, Source: "listen", LetGo: a.LetGo}, "--listen "+f.listen, &overrides)
	defer end()
	return runAll(a, c, references, overrides, f, run)
}

// printSchema prints the schema of the lines.
func printSchema(a *command.App) error {
	text, err := remote.Schema()
	if err != nil {
		return err
	}
	return a.Printed(func(w io.Writer) error {
		_, err := w.Write(text)
		return err
	})
}
