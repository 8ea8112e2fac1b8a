package attachcmd

import (
	"testing"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/clitest"
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/scenarios"
)

// program is a holdbench that has attach alone, with runs that do nothing.
func program() clitest.Program {
	none := func(*command.App, *cobra.Command, string, scenarios.Overrides, bool, bool) error { return nil }
	return clitest.With(func(a *command.App) *cobra.Command { return New(a, none) })
}

func TestMain(m *testing.M) { program().Main(m) }

// The examples wait for nobody here; the tests of the program connect to them.
func TestExamples(t *testing.T) {
	const waits, nothing = "^An attached controller must not be wired to a machine", "^$"
	program().Examples(t, "attach", []clitest.Example{
		{Line: "holdbench attach --listen 127.0.0.1:4000", Short: "--listen 127.0.0.1:0", Prints: []string{nothing}, Says: waits},
		{Line: "holdbench attach --listen 127.0.0.1:4000 --answer-within 0 lining-worn-thin", Short: "--listen 127.0.0.1:0", Prints: []string{nothing}, Says: waits},
		{Line: "holdbench attach --listen 127.0.0.1:4000 --json healthy brake", Short: "--listen 127.0.0.1:0", Prints: []string{nothing}, Says: waits},
		{Line: "holdbench attach --schema", Prints: []string{`"\$schema": "https://json-schema.org/draft/2020-12/schema"`}, Data: true},
		{Line: "holdbench attach --modbus 127.0.0.1:1502 healthy-down", Short: "--modbus 127.0.0.1:0", Prints: []string{nothing}, Says: waits},
		{Line: "holdbench attach --points text", Prints: []string{`^  1 +trigger +bit +start the test$`}},
		{Line: "holdbench attach --points csv healthy-down", Prints: []string{`^discrete input,1,1,trigger,bit,,,start the test$`}, Data: true},
		{Line: "holdbench attach --points st", Prints: []string{`^  position_mm : REAL; \(\* input register \d+: position measured, in mm \*\)$`}, Data: true},
	})
}
