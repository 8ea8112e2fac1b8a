// Package attachcmd has the command attach: a controller that connects takes the place of a sequence.
package attachcmd

import (
	"context"
	"errors"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/caution"
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/scenarios"
)

// Run runs one scenario with what is put in place of its own, and shows it.
type Run func(a *command.App, c *cobra.Command, reference string, o scenarios.Overrides, json, ascii bool) error

// flags are the flags of the command.
type flags struct {
	overrides   command.OverrideFlags
	realTime    command.RealTimeFlags
	listen      string
	modbus      string
	fromNetwork bool
	json, ascii bool
	schema      bool
	points      string
}

// New is the command attach; run runs a scenario and shows it.
func New(a *command.App, run Run) *cobra.Command {
	f := &flags{}
	c := &cobra.Command{
		Use:   "attach [SCENARIO…]",
		Short: "Run scenarios with a controller that connects",
		Long: page.Prose(`Runs scenarios with a controller that connects, in the place of their sequence. The controller may be any
program, on this machine or in a runtime for controllers; holdbench run, check, probe, sweep, life and the
bench start one themselves with --controller.`,
			`--listen waits for a connection over TCP and exchanges a line of JSON out and a line in, scan by scan:
holdbench help controller describes the lines, and --schema prints them as a JSON Schema. The plant waits for each
answer, so that a debugger may stop the controller; --answer-within 0 lets it, and --start-within 0 ahead of its
first answer. One controller at a time is served. A connection that ends, or answers
wrongly, ahead of its first valid answer is reported, and the next one is waited for. A controller that leaves or answers wrongly has no power for the rest of that run; the next run waits for the next
connection. Without SCENARIO the run is `+command.Demo+`.`,
			`--modbus serves a controller on Modbus over TCP instead, in real time or slower (--pace): the inputs as discrete
inputs and input registers, the outputs as coils and holding registers, which the controller reads and writes in
its own cycle. --points prints the table, as text, csv, or st, which are the declarations of a program. 0 in
every output is the safe value: drive off, brake closed, operation inhibited. The run begins with the first request
that writes an output (life, state and end are none); until then all outputs are 0, and no time passes. At the
beginning the drive carries the load: write drive in the first request, alone or with all others, as the load falls
until the brake has closed if drive stays 0. A controller that writes nothing for
--silent-after is stopped: drive off, brake closed. How late scans came, and how often by more than a scan (overruns), is printed at the end. To
watch the run and inject faults, open the bench with it: holdbench --attach modbus:127.0.0.1:1502.`,
			`Exit code 1 if an outcome differs from what a scenario expects, 2 if a flag or a document cannot be used, 3
if interrupted.`),
		Example: `  holdbench attach --listen 127.0.0.1:4000
  holdbench attach --listen 127.0.0.1:4000 --answer-within 0 lining-worn-thin
  holdbench attach --listen 127.0.0.1:4000 --json healthy brake
  holdbench attach --schema
  holdbench attach --modbus 127.0.0.1:1502 healthy-down
  holdbench attach --points text
  holdbench attach --points csv healthy-down
  holdbench attach --points st`,
		ValidArgsFunction: command.CompleteNames(scenarios.ScenarioKind),
		RunE:              func(c *cobra.Command, args []string) error { return attach(a, c, args, f, run) },
	}
	f.overrides.Add(c)
	a.AddReach(c)
	f.overrides.Outside.AddLimits(c)
	c.Flags().StringVar(&f.listen, "listen", "", "wait for a controller on `HOST:PORT`, such as 127.0.0.1:4000")
	c.Flags().StringVar(&f.modbus, "modbus", "", "serve a controller on Modbus on `HOST:PORT`, in real time")
	c.Flags().StringVar(&f.points, "points", "", "print the points of Modbus as `FORMAT`: text, csv or st")
	f.realTime.Add(c)
	c.Flags().BoolVar(&f.fromNetwork, "from-network", false, "let other machines connect, not only this one")
	c.Flags().BoolVar(&f.json, "json", false, "print one JSON object for each run")
	c.Flags().BoolVar(&f.ascii, "ascii", false, "draw with ASCII characters")
	c.Flags().BoolVar(&f.schema, "schema", false, "print the JSON Schema of the lines")
	command.Complete(c, "listen", cobra.NoFileCompletions)
	command.Complete(c, "modbus", cobra.NoFileCompletions)
	command.Complete(c, "points", cobra.FixedCompletions(pointFormats(), cobra.ShellCompDirectiveNoFileComp))
	c.SetHelpTemplate(c.HelpTemplate() + "\n" + caution.Attached)
	return c
}

// attach does what the flags ask for.
func attach(a *command.App, c *cobra.Command, args []string, f *flags, run Run) error {
	if f.schema {
		return printSchema(a)
	}
	if err := f.validate(c); err != nil {
		return err
	}
	references, err := named(c.Context(), a, args)
	switch {
	case err != nil:
		return err
	case f.points != "":
		return printPoints(a, c, references[0], f)
	case f.modbus != "":
		return realTime(a, c, references, f, run)
	}
	return lockstep(a, c, references, f, run)
}

// validate refuses flags that exclude each other.
func (f *flags) validate(c *cobra.Command) error {
	switch {
	case c.Flags().Changed("points"):
		return knownFormat(c, f.points)
	case f.listen == "" && f.modbus == "":
		return command.WrongUse(c, "nothing says how the controller connects; must be --listen HOST:PORT or --modbus HOST:PORT such as 127.0.0.1:1502")
	case f.listen != "" && f.modbus != "":
		return command.WrongUse(c, "--listen and --modbus are two ways to connect; must be one of them")
	case f.modbus != "" && f.overrides.Outside.Limited(c) != "":
		return command.WrongUse(c, "--%s is for --listen; must be --silent-after with --modbus", f.overrides.Outside.Limited(c))
	case f.modbus == "":
		return f.realTime.RefuseWithout(c, "--modbus")
	}
	return nil
}

// named are the scenarios of the arguments, in their order.
func named(ctx context.Context, a *command.App, args []string) ([]string, error) {
	if len(args) == 0 {
		return []string{command.Demo}, nil
	}
	references, folders, err := scenarios.Expand(ctx, args, a.Reach)
	a.TellContents(folders)
	for i := range folders {
		for _, link := range folders[i].Outside {
			err = errors.Join(err, scenarios.RefuseOutside(link))
		}
	}
	return references, err
}

// runAll runs scenarios one after the other. What cannot be run ends it; an outcome that is not as
// expected does not.
func runAll(a *command.App, c *cobra.Command, references []string, o scenarios.Overrides, f *flags, run Run) error {
	var different error
	for _, reference := range references {
		err := run(a, c, reference, o, f.json, f.ascii)
		var code command.Exit
		switch {
		case errors.As(err, &code) && int(code) == command.ExitBroken:
			different = err
		case err != nil:
			return err
		}
	}
	return different
}
