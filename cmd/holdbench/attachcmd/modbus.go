package attachcmd

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/caution"
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/scenarios"
)

// realTime runs one scenario with a controller on Modbus, in real time.
func realTime(a *command.App, c *cobra.Command, references []string, f *flags, run Run) error {
	overrides, err := f.overrides.Read(c)
	if err != nil {
		return err
	}
	if err := a.MayListen(c, "--modbus", f.modbus, f.fromNetwork); err != nil {
		return err
	}
	bus, err := a.Modbus(c, "--modbus", f.modbus, &f.realTime, func() {
		_, _ = fmt.Fprintf(a.Stderr, "the run waits for the first command over Modbus on %s: a write to an output; until then drive off, brake closed\n", f.modbus)
	}, &overrides)
	if err != nil {
		return err
	}
	defer func() { _ = bus.Close() }() // nothing is left to do
	_, _ = io.WriteString(a.Stderr, caution.Attached)
	return runAll(a, c, references, overrides, f, func(a *command.App, c *cobra.Command, reference string, o scenarios.Overrides, json, ascii bool) error {
		err := run(a, c, reference, o, json, ascii)
		_, _ = fmt.Fprintf(a.Stderr, "%s\n%s\n", bus.Measured(), bus.Seen())
		return err
	})
}
