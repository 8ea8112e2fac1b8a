// Package sizecmd has the command size: what the brake test of a rig needs.
package sizecmd

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"holdbench/cmd/holdbench/internal/caution"
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant/problem"
	"holdbench/plant/sizing"
	"holdbench/scenarios"
	"holdbench/sim"
)

type sizeFlags struct {
	overrides             command.OverrideFlags // set and sequence alone
	assumptions           map[string]*assumptionFlag
	json, markdown, ascii bool
	short                 bool
	scenario, rig         string // that are written
}

// assumptionFlag holds the text of a flag until the rig is loaded.
type assumptionFlag struct {
	text string
	kind string
}

func (w *assumptionFlag) String() string { return w.text }

func (w *assumptionFlag) Type() string { return w.kind }

func (w *assumptionFlag) Set(text string) error { w.text = text; return nil }

// New is the command size.
func New(a *command.App) *cobra.Command {
	f := &sizeFlags{assumptions: map[string]*assumptionFlag{}}
	c := &cobra.Command{
		Use:   "size RIG",
		Short: "Calculate the values of a brake test for a rig",
		Long: page.Prose(`Calculates, for a built-in rig or one from a file, the load torque over the travel, the
test torque, press torque and current by direction, ceiling, window, dwell, deadline and signal
times, and by running the plant the load drop at a power failure. Each figure has its unit, formula, inputs, source and the margin to its bounds, and is compared
with the present value of rig or sequence. Inputs that the rig does not contain, such as tolerances
and the limits of motor and mechanics, are flags; their defaults are choices or from memory and must
be decided by the user.`,
			`Torque sufficient means the test torque, as no test can prove more. Beside it stands the
factor with which the load also keeps to the drop limit of the rig when the power fails, at rest
and while lowering, with the most and the least payload, and which of the two decides. Findings
come first: they are for the design, and no value of the test mends them. A value to set that
was not worked out says where it comes from. The directions are those that the sequence tests.`,
			`This is a calculation for the design phase: nothing is measured, and it does not replace
the risk assessment of the machine. Exit code 1 if bounds cross, so that no value is permitted,
whatever rig and sequence have now; a finding alone ends with 0. A scenario that is written is run once; exit code 1 as well if
the rig's own brake does not pass. 2 if something cannot be used.`,
			`--set-rig writes the rig with the values in it, for all commands that take a rig: check --rig, evaluate --rig.`),
		Example: `  holdbench size pane-hoist
  holdbench size tilt-arm --short
  holdbench size kiln-gate --counterbalance-loss 0.05 --maximum-load-kg 430
  holdbench size pane-hoist --mechanical-limit-nm 14 --motor-peak-nm 12
  holdbench size twin-lift --creep-mm-s 0.02 --markdown
  holdbench size pane-hoist --set-scenario sized.yaml
  holdbench size pane-hoist --short --set-rig sized-rig.yaml`,
		Args:              command.OneArgument("RIG"),
		ValidArgsFunction: command.FirstOnly(command.CompleteNames(scenarios.RigKind)),
		RunE:              func(c *cobra.Command, args []string) error { return sizeRig(a, c, args[0], f) },
	}
	f.add(c)
	a.AddReach(c)
	c.SetUsageTemplate(strings.ReplaceAll(c.UsageTemplate(), ".LocalFlags.FlagUsages", ".LocalFlags.FlagUsagesWrapped 80"))
	c.SetHelpTemplate(c.HelpTemplate() + "\n" + caution.Short)
	return c
}

func (f *sizeFlags) add(c *cobra.Command) {
	flags := c.Flags()
	flags.SortFlags = false
	var none sizing.Assumptions
	for _, w := range none.Fields() {
		f.addAssumption(flags, w)
	}
	flags.StringArrayVar(&f.overrides.Set, "set", nil, "another value of the rig or the sequence by `KEY=VALUE`, as rig.load.mass_kg=210")
	f.overrides.SequenceFlag(c)
	flags.StringVar(&f.scenario, "set-scenario", "", "write the values as a scenario to `FILE`; - is stdout")
	flags.StringVar(&f.rig, "set-rig", "", "write the rig with the values in it to `FILE`; - is stdout")
	flags.BoolVar(&f.short, "short", false, "one screen of 80 by 24: what was found, and the figures of the test")
	flags.BoolVar(&f.json, "json", false, "one JSON object on one line")
	flags.BoolVar(&f.markdown, "markdown", false, "tables for a document")
	flags.BoolVar(&f.ascii, "ascii", false, "draw with ASCII characters")
	for name := range f.assumptions {
		command.Complete(c, name, cobra.NoFileCompletions)
	}
	command.Complete(c, "set", command.CompleteSettings)
	command.Complete(c, "set-scenario", command.CompleteFiles("yaml"))
	command.Complete(c, "set-rig", command.CompleteFiles("yaml"))
}

// addAssumption adds the flag of an assumption; its value is checked when the rig is loaded.
func (f *sizeFlags) addAssumption(flags *pflag.FlagSet, w sizing.Assumption) {
	value := &assumptionFlag{kind: "NUMBER"}
	f.assumptions[w.Name] = value
	flag := flags.VarPF(value, w.Name, "", w.Note)
	switch {
	case w.IsSwitch():
		value.kind = "bool"
		flag.NoOptDefVal = "true"
	case w.Unit == "s":
		value.kind = "TIME"
	}
}

// validate refuses flags that do not go together.
func (f *sizeFlags) validate(c *cobra.Command) error {
	for name, file := range map[string]string{"set-scenario": f.scenario, "set-rig": f.rig} {
		if c.Flags().Changed(name) && file == "" {
			return command.WrongUse(c, "--%s is empty; must be a file, or - for standard output", name)
		}
	}
	onStdout := 0
	for _, used := range []bool{f.json, f.markdown, files.IsStdout(f.scenario), files.IsStdout(f.rig)} {
		if used {
			onStdout++
		}
	}
	switch {
	case onStdout > 1:
		return command.WrongUse(c, "only one of --json, --markdown, --set-scenario - and --set-rig - can have standard output")
	case f.short && onStdout > 0:
		return command.WrongUse(c, "--short is for the page; must be without --json, --markdown, --set-scenario - and --set-rig -")
	}
	return nil
}

// read applies the flags of the command line to the assumptions.
func (f *sizeFlags) read(c *cobra.Command, w *sizing.Assumptions) error {
	for _, field := range w.Fields() {
		flag := c.Flags().Lookup(field.Name)
		if !flag.Changed {
			continue
		}
		if err := w.Set(field.Name, f.assumptions[field.Name].text); err != nil {
			return command.WrongUse(c, "--%s %w", field.Name, err)
		}
	}
	return nil
}

func sizeRig(a *command.App, c *cobra.Command, reference string, f *sizeFlags) error {
	if err := f.validate(c); err != nil {
		return err
	}
	overrides, err := f.overrides.Read(c)
	if err != nil {
		return err
	}
	sized, err := loadSized(a, reference, overrides)
	if err != nil {
		return err
	}
	w := sizing.DefaultAssumptions(&sized.ready.Rig, sized.params)
	if err := f.read(c, &w); err != nil {
		return err
	}
	result, err := sizing.Compute(&sized.ready.Rig, sized.params, w)
	if err != nil {
		return assumptionProblems(c, reference, problem.Of(err))
	}
	sized.result = &result
	if err := showSizing(a, sized, f); err != nil {
		return err
	}
	return leaveSizing(c.Context(), a, sized, f)
}

// assumptionProblems are impossible assumptions, each with its flag.
func assumptionProblems(c *cobra.Command, reference string, problems problem.List) error {
	texts := make([]string, len(problems))
	for i, p := range problems {
		texts[i] = "--" + p.Path + " " + p.Message
		if p.Path == "" {
			texts[i] = reference + ": " + p.Message
		}
	}
	slices.Sort(texts)
	return command.WrongUse(c, "%s", strings.Join(texts, "\n"))
}

// showSizing prints the result in the format of the flags.
func showSizing(a *command.App, sized *sizedRig, f *sizeFlags) error {
	if files.IsStdout(f.scenario) || files.IsStdout(f.rig) {
		return nil
	}
	return a.Printed(func(w io.Writer) error {
		if f.json {
			return files.WriteJSON(w, sizeObject{*sized.result, command.NewOrigin(sized.ready)})
		}
		text := sizeMarkdown(sized)
		if !f.markdown {
			page := &sizePage{Sheet: page.NewSheet(a.Screen(f.ascii)), sizedRig: sized, short: f.short}
			text = page.text()
		}
		_, err := io.WriteString(w, text)
		return err
	})
}

// leaveSizing writes rig and scenario, unless no value would do, and ends with the exit code.
func leaveSizing(ctx context.Context, a *command.App, sized *sizedRig, f *sizeFlags) error {
	crossed := sized.result.Crossed
	if err := leaveRig(a, sized, f.rig); err != nil {
		return err
	}
	if f.scenario != "" && len(crossed) == 0 {
		err := writeSized(a, sized, f.scenario)
		if err == nil && !files.IsDevice(f.scenario) {
			if text := missingText(sized); text != "" {
				_, _ = fmt.Fprintln(a.Stderr, text)
			}
			_, _ = fmt.Fprintf(a.Stderr, "%s written\n", f.scenario)
			return trySized(ctx, a, f.scenario)
		}
		return err
	}
	if f.scenario != "" {
		_, _ = fmt.Fprintf(a.Stderr, "%s not written, as bounds cross:\n", f.scenario)
		for _, text := range crossed {
			_, _ = fmt.Fprintln(a.Stderr, "  "+text)
		}
	}
	if len(crossed) > 0 {
		return command.Exit(command.ExitBroken)
	}
	return nil
}

// trySized runs the scenario that was written: what a page cannot know, such as what the noise
// of an encoder does to a speed loop, one run can show.
func trySized(ctx context.Context, a *command.App, path string) error {
	ready, _, err := scenarios.LoadCase(path, scenarios.Overrides{Reach: scenarios.Anywhere}) // the command line may have named a rig that is elsewhere
	if err != nil {
		return err
	}
	r, err := sim.RunUntil(ctx, ready, nil)
	if err != nil {
		return err
	}
	how := r.End
	if r.Cause != "" {
		how += " (" + page.CleanLine(r.Cause) + ")"
	}
	_, _ = fmt.Fprintf(a.Stderr, "tried once with the rig's own brake: %s, %s\n", r.Class, how)
	if r.Met() {
		return nil
	}
	var missed []string
	for _, e := range r.Expectations {
		if !e.Met {
			missed = append(missed, e.Name)
		}
	}
	_, _ = fmt.Fprintf(a.Stderr, "not as expected: %s; the values do not do for this rig and sequence, and holdbench run %s shows why\n", strings.Join(missed, ", "), path)
	return command.Exit(command.ExitBroken)
}
