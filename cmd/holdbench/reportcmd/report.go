// Package reportcmd has the command report: the validation record of scenarios, as one page.
package reportcmd

import (
	"bytes"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/caution"
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/cmd/holdbench/report"
	"holdbench/plant/recording"
	"holdbench/scenarios"
	"holdbench/sequence"
)

type reportFlags struct {
	out                                string
	title, machine, author, date, only string
	workers                            int
	sequence                           string
	against                            string
	recording                          command.RecordingFlags
	reading                            recording.Options // what these say
	accept                             string
	probes, mutations, sweeps, lives   []string
}

// defaultTitle is the title of a record without --title.
const defaultTitle = "Validation record of the brake test: simulation"

// New is the command report.
func New(a *command.App) *cobra.Command {
	f := &reportFlags{}
	c := &cobra.Command{
		Use:   "report [PATH…] --out FILE",
		Short: "Write the validation record of scenarios as one page",
		Long: page.Prose(`Runs all scenarios below the paths, or all built-in ones, and writes their validation record: one page of
HTML for a screen and for A4, which needs nothing from outside and no script. A PATH is the name of a scenario, a
group of built-in scenarios, a file or a folder; a folder of your own makes your own record.`,
			`It has what was validated, with content hashes; the requirements and the test cases that show each; the sizing
of each rig with formula, source and margin; diagrams and tables of each sequence, or the text of a program; each
test case with purpose, faults, limits, simulated result, curves, and an empty column for the measured result; the
open points; and the cautions. Its structure follows the validation record of ISO 13849-2.`,
			`There is no date but that of --date: the same input gives the same bytes, and what is not given is a line to
fill in. --probe, --mutation, --sweep and --life take in what probe --json, check --mutate --json, sweep --json
and life --json have printed; --accept names what is accepted in a probe, as there. A study of other documents
than those of the record, by content hash, fingerprint and version, is marked and is no evidence in it.`,
			`--against lays recorded signals of the real axis over the curves of one scenario: position_mm, load_mm,
torque_nm, torque_motor_nm, current_rms_a, current_amp_a and judge_current_amp_a, in seconds from the start of the
run. Where position, current or torque and the brake are recorded the test is judged again, as by holdbench evaluate:
the curves are aligned by the closing of the brake, what the test shows fills the column measured, and its verdict, its
figures and its obligations are held against the expectations of the scenario; a trace of a run, accepted by --simulated, is compared in the
figure alone. Other columns are named and left out. `+command.RecordingHelp(),
			`The page is written whole or not at all. A scenario that cannot be used is listed in it. Exit code 1 if
an expectation is not met by a run or by the recorded test, 2 if a document cannot be used, 3 if interrupted.`),
		Example: `  holdbench report healthy brake --out record.html
  holdbench report my-scenarios --machine 'lift 3' --date 2026-03-02 -o my.html
  holdbench report brake --only failed --out failed.html
  holdbench report healthy-down --against measured.csv --out compared.html
  holdbench report healthy --probe probe.jsonl --accept reference -o probed.html`,
		ValidArgsFunction: command.CompleteWanted,
		RunE:              func(c *cobra.Command, args []string) error { return write(a, c, args, f) },
	}
	f.add(c)
	a.AddReach(c)
	c.SetHelpTemplate(c.HelpTemplate() + "\n" + caution.Short)
	return c
}

func (f *reportFlags) add(c *cobra.Command) {
	flags := c.Flags()
	flags.StringVarP(&f.out, "out", "o", "", "write the page to `FILE`; - is stdout")
	flags.StringVar(&f.title, "title", defaultTitle, "title of the record, a `TEXT`")
	flags.StringVar(&f.machine, "machine", "", "the machine, a `TEXT`")
	flags.StringVar(&f.author, "author", "", "who made the record, a `TEXT`")
	flags.StringVar(&f.date, "date", "", "its date, a `TEXT`")
	flags.StringVar(&f.only, "only", "", "show test cases that are `failed` alone")
	flags.StringVar(&f.sequence, "sequence", "", "another sequence or program for all scenarios, `NAME or FILE`")
	flags.StringVar(&f.against, "against", "", "signals of the real axis, a `FILE` .csv")
	flags.StringArrayVar(&f.probes, "probe", nil, "what probe --json printed, a `FILE`; repeatable")
	flags.StringVar(&f.accept, "accept", "", "what is accepted in the probes, `NAME or FILE`")
	flags.StringArrayVar(&f.mutations, "mutation", nil, "what check --mutate --json printed, a `FILE`; repeatable")
	flags.StringArrayVar(&f.sweeps, "sweep", nil, "what sweep --json printed, a `FILE`; repeatable")
	flags.StringArrayVar(&f.lives, "life", nil, "what life --json printed, a `FILE`; repeatable")
	command.AddWorkers(c, &f.workers)
	f.recording.Add(c)
	for _, name := range []string{"title", "machine", "author", "date", "workers"} {
		command.Complete(c, name, cobra.NoFileCompletions)
	}
	command.Complete(c, "out", command.CompleteFiles("html"))
	command.Complete(c, "only", cobra.FixedCompletions([]string{report.OnlyFailed}, cobra.ShellCompDirectiveNoFileComp))
	command.Complete(c, "sequence", command.CompleteNames(scenarios.SequenceKind))
	command.Complete(c, "against", command.CompleteFiles("csv"))
	command.Complete(c, "accept", cobra.FixedCompletions(scenarios.AcceptedNames(), cobra.ShellCompDirectiveDefault))
	for _, name := range []string{"probe", "mutation", "sweep", "life"} {
		command.Complete(c, name, command.CompleteFiles("json", "jsonl"))
	}
}

func (f *reportFlags) validate(c *cobra.Command) error {
	switch {
	case f.out == "":
		return command.WrongUse(c, "--out is missing; must be a file such as record.html, or - for standard output")
	case !files.IsStdout(f.out) && !files.IsDevice(f.out) && !slices.Contains([]string{".html", ".htm"}, strings.ToLower(filepath.Ext(f.out))):
		return command.WrongUse(c, "--out is %s; the name of a record must end in .html, or be - for standard output", f.out)
	case f.only != "" && f.only != report.OnlyFailed:
		return command.WrongUse(c, "--only is %q; %s", f.only, sequence.Suggest(f.only, []string{report.OnlyFailed}))
	case c.Flags().Changed("against") && f.against == "":
		return command.WrongUse(c, "--against is empty; must be a file of comma-separated values")
	case f.against == "" && f.recording.Given(c) != "":
		return command.WrongUse(c, "--%s is for --against, which is missing; must be with it", f.recording.Given(c))
	case f.accept != "" && len(f.probes) == 0:
		return command.WrongUse(c, "--accept is for --probe, which is missing; must be with it")
	}
	return nil
}

func write(a *command.App, c *cobra.Command, paths []string, f *reportFlags) error {
	if err := f.validate(c); err != nil {
		return err
	}
	var err error
	if f.reading, err = f.recording.Read(c); err != nil {
		return err
	}
	j := &job{app: a, flags: f, overrides: scenarios.Overrides{Sequence: f.sequence, Reach: a.Reach}}
	if _, err := command.NewReplacement(&j.overrides); err != nil {
		return err
	}
	j.replaced = j.names.shown(j.names.add(f.sequence, scenarios.Names(scenarios.SequenceKind)))
	if err := j.studies(); err != nil {
		return err
	}
	opened, err := files.OpenOutputs(a.Stdout, files.Output[[]byte]{Path: f.out, Write: func(w io.Writer, page []byte) error {
		_, err := w.Write(page)
		return err
	}})
	if err != nil {
		return err
	}
	if err := j.run(c.Context(), paths); err != nil {
		opened.Abandon()
		return err
	}
	var made bytes.Buffer
	if err := report.Write(&made, report.New(j.input())); err != nil {
		opened.Abandon()
		return err
	}
	if err := opened.Write(made.Bytes()); err != nil {
		return err
	}
	return j.conclude(made.Len())
}

// words are why a scenario cannot be used, with its path as it was given.
func (j *job) words(r *report.Run) string {
	if err := j.places[r].err; err != nil {
		return j.names.told(err.Error())
	}
	return r.Err.Error()
}

// conclude says what was written, and gives the exit code.
func (j *job) conclude(bytes int) error {
	failed, unusable, unreviewed := 0, 0, 0
	recorded, differs := "", false
	for _, r := range j.runs {
		switch {
		case r.Err != nil:
			unusable++
			_, _ = fmt.Fprintln(j.app.Stderr, "holdbench: "+page.Clean(j.words(r)))
		case !r.Result.Met():
			failed++
		case r.Unreviewed:
			unreviewed++
		}
		if text := r.RecordedResult(); r.Err == nil && text != "" {
			recorded, differs = "recorded test "+page.CleanLine(j.flags.against)+": "+text+"\n", r.Differs()
		}
	}
	if !files.IsStdout(j.flags.out) {
		err := j.app.Printed(func(w io.Writer) error {
			of := ""
			if unreviewed > 0 {
				of = fmt.Sprintf(" (%d not reviewed)", unreviewed)
			}
			_, err := fmt.Fprintf(w, "wrote %s: %s, %d as expected%s, %d not as expected, %d not usable, %s MB\n%s", page.CleanLine(j.flags.out),
				page.Count(len(j.runs), "test case", "test cases"), len(j.runs)-failed-unusable, of, failed, unusable, page.Figure(float64(bytes)/1e6), recorded)
			return err
		})
		if err != nil {
			return err
		}
	}
	switch {
	case unusable > 0:
		return command.Exit(command.ExitWrong)
	case failed > 0 || differs:
		return command.Exit(command.ExitBroken)
	}
	return nil
}
