// Package exportcmd has the command export: a sequence for the controller and for its reviewers.
package exportcmd

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/caution"
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant"
	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sequence/export"
	"holdbench/sim"
)

type exportFlags struct {
	as, out, states string
	group, table    string
	prefix          string
	overwrite       bool
	reads           string                // the sequence
	overrides       command.OverrideFlags // set and rig alone
}

// The ways in which --states writes the states of a program.
const (
	statesEnum = "enum"
	statesInt  = "int"
)

// New is the command export.
func New(a *command.App) *cobra.Command {
	f := &exportFlags{}
	c := &cobra.Command{
		Use:   "export SEQUENCE --as FORMAT",
		Short: "Write a sequence for the controller or its reviewers",
		Long: page.Prose(`Writes a sequence document in another form. --as says which one:`) + "\n\n" + formatList() + "\n\n" + page.Prose(`With --rig the parameters are those of that rig, with --set those that are set. Each export names the
version and the content hashes of its documents, and says that it is generated and unproven on a machine.`,
			`A program does in every scan what the sequence does on the bench. With --out its binding is written beside it,
by which the bench runs it: holdbench check --sequence FILE.st. A chart does the same with one event a scan;
its head says what it asks of its host.`),
		Example: `  holdbench export reference --as st --rig pane-hoist --out brake_test.st
  holdbench run healthy-down-and-up --sequence brake_test.st
  holdbench export down-only --as st --states int
  holdbench export reference --as st --prefix Axis2 --out axis_2.st
  holdbench export reference --as scxml --out reference.scxml
  holdbench export reference --as svg --group failure --out failure.svg
  holdbench export reference --as table --rig pane-hoist
  holdbench export reference --as csv --table matrix`,
		Args:              command.OneArgument("SEQUENCE"),
		ValidArgsFunction: command.FirstOnly(command.CompleteNames(scenarios.SequenceKind)),
		RunE:              func(c *cobra.Command, args []string) error { return run(a, c, args[0], f) },
	}
	flags := c.Flags()
	a.AddReach(c)
	flags.StringVar(&f.as, "as", "", "the `FORMAT`: "+strings.Join(formatNames(), ", "))
	flags.StringVarP(&f.out, "out", "o", "", "write to `FILE`; without it, or for -, to stdout")
	flags.BoolVar(&f.overwrite, "overwrite", false, "replace files that are there")
	flags.StringVar(&f.states, "states", statesEnum, "write the states of a program as `enum` or int")
	flags.StringVar(&f.prefix, "prefix", "", "let the names of a program that a project shares begin with `PREFIX`; without it, with the name of the sequence")
	flags.StringVar(&f.group, "group", "", "draw one `GROUP` of states: "+strings.Join(export.Groups(), ", "))
	flags.StringVar(&f.table, "table", "", "write one `TABLE`: "+strings.Join(tableNames(), ", "))
	flags.StringArrayVar(&f.overrides.Set, "set", nil, "another value of the sequence or the rig by `KEY=VALUE`, as sequence.travel_time_s=20")
	flags.StringVar(&f.overrides.Rig, "rig", "", "take the parameters of a rig, `NAME or FILE`")
	command.Complete(c, "as", cobra.FixedCompletions(formatNames(), cobra.ShellCompDirectiveNoFileComp))
	command.Complete(c, "states", cobra.FixedCompletions([]string{statesEnum, statesInt}, cobra.ShellCompDirectiveNoFileComp))
	command.Complete(c, "group", cobra.FixedCompletions(export.Groups(), cobra.ShellCompDirectiveNoFileComp))
	command.Complete(c, "table", cobra.FixedCompletions(tableNames(), cobra.ShellCompDirectiveNoFileComp))
	command.Complete(c, "set", command.CompleteSettings)
	command.Complete(c, "rig", command.CompleteNames(scenarios.RigKind))
	c.SetUsageTemplate(strings.ReplaceAll(c.UsageTemplate(), ".LocalFlags.FlagUsages", ".LocalFlags.FlagUsagesWrapped 80"))
	c.SetHelpTemplate(c.HelpTemplate() + "\n" + caution.Short)
	return c
}

func run(a *command.App, c *cobra.Command, reference string, f *exportFlags) error {
	f.reads = reference
	o, err := f.overrides.Read(c)
	if err != nil {
		return err
	}
	form, err := f.format(c)
	if err != nil {
		return err
	}
	made, err := command.Interruptible(c.Context(), "exporting", func() ([]output, error) {
		j, err := f.load(a, reference, o)
		if err != nil {
			return nil, err
		}
		j.ctx = c.Context()
		made, err := form.write(j)
		if err != nil {
			return nil, fmt.Errorf("cannot export %s as %s: %w", reference, form.name, err)
		}
		return made, nil
	})
	if err != nil {
		return err
	}
	return f.deliver(a, made)
}

// format is the one that is asked for.
func (f *exportFlags) format(c *cobra.Command) (*format, error) {
	list := formats()
	i := slices.IndexFunc(list, func(m format) bool { return m.name == f.as })
	switch {
	case f.as == "":
		return nil, command.WrongUse(c, "--as is missing; must be one of %s", strings.Join(formatNames(), ", "))
	case i < 0:
		return nil, command.WrongUse(c, "--as is %q; %s", f.as, sequence.Suggest(f.as, formatNames()))
	case c.Flags().Changed("group") && !list[i].groups:
		return nil, command.WrongUse(c, "--group is for diagrams; must be left out with --as %s", f.as)
	case f.table != "" && !list[i].tables:
		return nil, command.WrongUse(c, "--table is for table and csv; must be left out with --as %s", f.as)
	case c.Flags().Changed("states") && !list[i].program:
		return nil, command.WrongUse(c, "--states is for st and binding; must be left out with --as %s", f.as)
	case c.Flags().Changed("prefix") && !list[i].program:
		return nil, command.WrongUse(c, "--prefix is for st and binding; must be left out with --as %s", f.as)
	case f.states != statesEnum && f.states != statesInt:
		return nil, command.WrongUse(c, "--states is %q; must be %s or %s", f.states, statesEnum, statesInt)
	}
	if c.Flags().Changed("prefix") {
		if err := export.CheckPrefix(f.prefix); err != nil {
			return nil, command.WrongUse(c, "--prefix is %q; %s", f.prefix, err)
		}
	}
	return &list[i], nil
}

// job is a sequence to be exported, with its values.
type job struct {
	program *sequence.Program
	heading export.Heading
	file    string // to be written; "" for standard output
	flags   *exportFlags
	rig     *plant.Rig      // nil without one
	ctx     context.Context //nolint:containedctx // of the command, which this job is
}

// load reads the sequence, and the rig whose values it takes.
func (f *exportFlags) load(a *command.App, reference string, o scenarios.Overrides) (*job, error) {
	logic, warnings, err := scenarios.LoadLogic(reference, a.Reach)
	if err != nil {
		return nil, err
	}
	a.TellWarnings(warnings)
	source, err := hashed(scenarios.SequenceKind, reference)
	if err != nil {
		return nil, err
	}
	j := &job{flags: f, heading: export.Heading{Version: command.Version(), Sources: []export.Source{source}, Set: sorted(f.overrides.Set)}}
	if !files.IsStdout(f.out) {
		j.file = f.out
	}
	if logic, err = j.withValues(a, logic, reference, o); err != nil {
		return nil, err
	}
	program, ok := logic.(*sequence.Program)
	if !ok {
		return nil, fmt.Errorf("%s is a program; only a sequence document can be exported", reference)
	}
	j.program = program
	return j, nil
}

// withValues sets the parameters: those of a rig, and those of the command line.
func (j *job) withValues(a *command.App, logic sequence.Logic, reference string, o scenarios.Overrides) (sequence.Logic, error) {
	if o.Rig == "" {
		values := sequence.Values{}
		for key, value := range o.Set {
			name, ok := strings.CutPrefix(key, "sequence.")
			if !ok {
				return nil, fmt.Errorf("--set %s: without --rig only values of the sequence can be set, such as sequence.%s", key, firstParam(logic))
			}
			values[name] = value
		}
		return logic.With(values)
	}
	rig, warnings, err := scenarios.LoadRig(o.Rig)
	if err != nil {
		return nil, err
	}
	source, err := hashed(scenarios.RigKind, o.Rig)
	if err != nil {
		return nil, err
	}
	j.heading.Sources = append(j.heading.Sources, source)
	a.TellWarnings(warnings)
	s := sim.Scenario{Scenario: "export", Title: "export", Rig: sim.Reference{Name: o.Rig}, Sequence: sim.Reference{Name: reference}, Set: o.Set}
	ready, warnings, err := scenarios.CaseOfRig(s, o.Rig, rig, logic)
	if err := a.TellProblems(reference, o, warnings, err); err != nil {
		return nil, err
	}
	j.rig = &ready.Rig
	return ready.Logic, nil
}

func firstParam(logic sequence.Logic) string {
	if list := logic.About().Params; len(list) > 0 {
		return list[0].Name + "=" + list[0].Written()
	}
	return "NAME=VALUE"
}

func sorted(list []string) []string { return slices.Sorted(slices.Values(list)) }

// hashed is a document with the hash of its content.
func hashed(kind scenarios.Kind, reference string) (export.Source, error) {
	place, text, err := scenarios.Text(kind, reference)
	d := sim.NewDocument(string(kind), place, text)
	return export.Source{Kind: d.Kind, Name: d.Name, SHA256: d.SHA256}, err
}

// output is a file of an export; without a name it is the one that was asked for.
type output struct {
	file string
	text []byte
}

// deliver writes all files of an export, or none, or the first of them to standard output.
func (f *exportFlags) deliver(a *command.App, made []output) error {
	if f.out == "" || files.IsStdout(f.out) {
		if _, err := a.Stdout.Write(made[0].text); err != nil {
			return files.CannotPrint(err)
		}
		return nil
	}
	made[0].file = f.out
	for _, m := range made {
		for _, read := range []string{f.reads, f.overrides.Rig} {
			if files.SameFile(m.file, read) {
				return fmt.Errorf("%s is read for this export; choose another name for --out", m.file)
			}
		}
		if _, err := os.Lstat(m.file); err == nil && !f.overwrite {
			return fmt.Errorf("%s exists already; choose another name for --out, or give --overwrite", m.file)
		}
	}
	var names, fresh []string
	for _, m := range slices.Backward(made) { // the one that was asked for is the last
		_, none := os.Lstat(m.file)
		if err := scenarios.Save(m.file, m.text, f.overwrite); err != nil {
			return errors.Join(err, remove(fresh))
		}
		if names = append(names, m.file); none != nil {
			fresh = append(fresh, m.file)
		}
	}
	slices.Reverse(names)
	return a.Printed(func(w io.Writer) error {
		_, err := fmt.Fprintf(w, "wrote %s\n", page.CleanLine(strings.Join(names, " and ")))
		return err
	})
}

// remove takes back files that were not there before.
func remove(names []string) error {
	var failed []error
	for _, name := range names {
		failed = append(failed, os.Remove(name))
	}
	return errors.Join(failed...)
}
