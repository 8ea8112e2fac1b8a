// Package newcmd has the command new: first documents, made from what is there.
package newcmd

import (
	"errors"
	"fmt"
	"io"
	"io/fs"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/scenarios"
	"holdbench/sequence"
)

// New is the command new.
func New(a *command.App) *cobra.Command {
	c := &cobra.Command{
		Use:   "new rig|sequence|scenario|suite|recordings|binding NAME",
		Short: "Write a first document",
		Long: page.Prose(`Writes a document to begin with. The first word says which one.`,
			`rig, sequence and scenario write a document with comments that vets and runs, suite a folder with all of them.
recordings writes a folder with recordings of an invented axis.`,
			`binding ties a program in Structured Text to the signals of the bench. It is made from the declarations of
the program, by the similarity of names and types and of the values of enumerations, and written beside it. States,
causes and parameters get the names that the built-in scenarios use where they are alike. Signals that no variable
is like stand in it as comments. Review every line, first those with a comment that begins with check: what a name
does not say for certain; holdbench vet lists what is not bound.`),
		Example: `  holdbench new suite my-hoist
  holdbench new binding hoist.st
  holdbench new binding hoist.st --block BrakeTest --out -`,
		Args: cobra.ArbitraryArgs,
		RunE: func(c *cobra.Command, args []string) error {
			const must = "must be rig, sequence, scenario, suite, recordings or binding"
			if len(args) == 0 {
				return command.WrongUse(c, "new needs the document to write; "+must)
			}
			nearest := ""
			if kind, similar := sequence.Nearest(args[0], []string{"rig", "sequence", "scenario", "suite", "recordings", "binding"}); similar {
				nearest = fmt.Sprintf("; the nearest is %q", kind)
			}
			return command.WrongUse(c, "new writes no %q; %s%s", args[0], must, nearest)
		},
	}
	c.AddCommand(newRigCommand(a), newSequenceCommand(a), newScenarioCommand(a), newSuiteCommand(a), newRecordings(a), newBinding(a))
	return c
}

type bindingFlags struct {
	block, out string
	overwrite  bool
}

func newBinding(a *command.App) *cobra.Command {
	f := &bindingFlags{}
	c := &cobra.Command{
		Use:   "binding FILE.st",
		Short: "Write a first binding for a program",
		Long: page.Prose(`Writes a binding for a program in Structured Text: which of its variables are the signals of the bench, which
one is its state, and which are parameters. It is made by the similarity of names and types, English and German, and
of the values of enumerations and the labels of a CASE, so that every line needs a review: first those with a comment
that begins with check, as a name may not say which value stands for what. Signals that are left and are necessary
are marked. Without --out it is written beside the program, where holdbench finds it; a file that is there is kept unless
--overwrite is given.`),
		Example: `  holdbench new binding hoist.st
  holdbench new binding hoist.st --block BrakeTest --out -`,
		Args:              command.OneArgument("FILE.st"),
		ValidArgsFunction: command.FirstOnly(command.CompleteFiles("st")),
		RunE:              func(_ *cobra.Command, args []string) error { return writeBinding(a, args[0], f) },
	}
	c.Flags().StringVar(&f.block, "block", "", "the PROGRAM or FUNCTION_BLOCK `NAME` that is run")
	c.Flags().StringVarP(&f.out, "out", "o", "", "write to `FILE`; - is stdout")
	c.Flags().BoolVar(&f.overwrite, "overwrite", false, "replace a file that is there")
	command.Complete(c, "block", cobra.NoFileCompletions)
	command.Complete(c, "out", command.CompleteFiles("yaml", "yml"))
	return c
}

func writeBinding(a *command.App, program string, f *bindingFlags) error {
	text, warnings, err := scenarios.DraftBinding(program, f.block)
	a.TellWarnings(warnings)
	if err != nil {
		return err
	}
	if f.out == "-" {
		_, err := io.WriteString(a.Stdout, text)
		if err != nil {
			return files.CannotPrint(err)
		}
		return nil
	}
	out := f.out
	if out == "" {
		out = scenarios.BindingBeside(program)
	}
	switch err := scenarios.Save(out, []byte(text), f.overwrite); {
	case errors.Is(err, fs.ErrExist):
		return fmt.Errorf("%s exists already; --overwrite replaces it, --out FILE writes another", page.CleanLine(out))
	case err != nil:
		return err
	}
	return a.Printed(func(w io.Writer) error {
		_, err := io.WriteString(w, "wrote "+page.CleanLine(out)+"; review it, then holdbench vet "+page.CleanLine(out)+"\n")
		return err
	})
}
